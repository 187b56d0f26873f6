/** Everything that can be taken away of the whole archive, and what stands in the way of keeping it. */
import { useQuery } from "@tanstack/react-query";
import { PACKAGE_ADDRESS } from "../../api/addresses";
import { KEPT, bagAddress, keepAsked, type KeepView } from "../../api/keep";
import { counted } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { Link } from "../../shell/router";

export function ForKeeping() {
  const keep = useQuery(keepAsked());
  return (
    <section className="for-keeping" aria-labelledby="keeping">
      <h2 id="keeping">For keeping and for analysis</h2>
      <Asked of={keep} what="what there is to keep">
        {(data) => <Kept keep={data} />}
      </Asked>
    </section>
  );
}

export function Kept({ keep }: { keep: KeepView }) {
  return (
    <>
      <Bag keep={keep} />
      <p className="small">Single parts of it:</p>
      <ul className="small ways-out">
        <li>
          <Away to={PACKAGE_ADDRESS}>the evidence package</Away>, to take in elsewhere
        </li>
        <li>
          <Away to={KEPT.analysis}>tables for analysis</Away>: fitments, lines, claims and findings
        </li>
        <li>
          sources as <Away to={KEPT.csl}>CSL-JSON</Away>, <Away to={KEPT.bibtex}>BibTeX</Away> or <Away to={KEPT.ris}>RIS</Away>
        </li>
        {keep.pages_read > 0 && (
          <li>
            pages as read, in <Away to={KEPT.alto}>ALTO</Away> or <Away to={KEPT.hocr}>hOCR</Away>
          </li>
        )}
        {keep.scans > 0 && (
          <li>
            <Away to={KEPT.iiif}>manifests of the scans</Away> for viewers (IIIF)
          </li>
        )}
        <li>
          <Away to={KEPT.provenance}>who read, linked and decided what</Away> (PROV-O), and{" "}
          <Away to={KEPT.annotations}>annotations of the scans</Away>
        </li>
      </ul>
    </>
  );
}

/** The bag, or what must be mended first; missing rights are a choice, a scan that is gone is none. */
function Bag({ keep }: { keep: KeepView }) {
  const holds = `${counted(keep.scans, "scan")}, ${size(keep.octets)}, with everything that is known of them`;
  if (keep.lost.length > 0)
    return (
      <div className="small">
        <p>No bag can be made: {keep.lost.length === 1 ? "a scan is" : `${keep.lost.length} scans are`} not as taken in.</p>
        <ul className="ways-out">
          {keep.lost.map((one) => (
            <li key={one}>{one}</li>
          ))}
        </ul>
      </div>
    );
  const silent = keep.no_rights.length > 0;
  return (
    <>
      {silent && (
        <div className="small">
          <p>
            {keep.no_rights.length === 1 ? "A source with scans states no rights." : `${keep.no_rights.length} sources with scans state no rights.`}{" "}
            Whoever keeps the bag must know them.
          </p>
          <ul className="ways-out">
            {keep.no_rights.map(({ source_id, title }) => (
              <li key={source_id}>
                <Link to={{ desk: "tables", table: "sources", key: source_id }}>Say the rights of ‘{title}’</Link>
              </li>
            ))}
          </ul>
        </div>
      )}
      <p className="small">
        <Away to={bagAddress(silent)}>{silent ? "Take a bag away all the same" : "Take a bag away"}</Away> for an archive: {holds}, each
        file with its checksum.
        {keep.not_taken_in.length > 0 && (
          <span className="soft">
            {" "}
            {counted(keep.not_taken_in.length, "card")} {keep.not_taken_in.length === 1 ? "names" : "name"} scans that were never taken in.
          </span>
        )}
      </p>
    </>
  );
}

function Away({ to, children }: { to: string; children: string }) {
  return (
    <a href={to} download>
      {children}
    </a>
  );
}

/** A number of bytes as people say it. */
function size(octets: number): string {
  if (octets < 1_000_000) return `${Math.max(1, Math.round(octets / 1_000))} kB`;
  return `${(octets / 1_000_000).toFixed(octets < 10_000_000 ? 1 : 0)} MB`;
}
