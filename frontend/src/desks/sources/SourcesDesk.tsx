/** The sources, and one of them with its cards. */
import { useQuery } from "@tanstack/react-query";
import { sourceAsked, sourcesAsked } from "../../api/ask";
import type { SourcePage } from "../../api/views";
import { counted, sentence } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { Link } from "../../shell/router";
import { Sources } from "../overview/Sources";
import { useTitle } from "../../shell/useTitle";
import { Forms } from "./Forms";
import { HowRead } from "./HowRead";
import { ItsForm } from "./ItsForm";
import "./sources.css";

export default function SourcesDesk({ source }: { source: string | null }) {
  return source === null ? <List /> : <One source={source} />;
}

function List() {
  useTitle("Sources");
  const sources = useQuery(sourcesAsked());
  return (
    <>
      <div className="title">
        <h1>Sources</h1>
      </div>
      <Asked of={sources} what="the sources">
        {(data) => (
          <>
            {data.length === 0 ? <p>No source is here yet. Take one in from the archive’s desk.</p> : <Sources sources={data} />}
            <Forms sources={data} />
          </>
        )}
      </Asked>
    </>
  );
}

function One({ source }: { source: string }) {
  const page = useQuery(sourceAsked(source));
  return (
    <Asked of={page} what="the source">
      {(data) => <Source page={data} />}
    </Asked>
  );
}

function Source({ page }: { page: SourcePage }) {
  useTitle(page.source.title ?? "Source");
  return (
    <>
      <div className="title">
        <h1>{page.source.title}</h1>
        <span className="soft">{sentence(counted(page.cards.length, "card"))}</span>
      </div>
      <p>
        Cited as: <cite>{page.citation}</cite>
      </p>
      <div className="scrolls" role="region" aria-label="Cards of the source" tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">Card</th>
              <th scope="col">Where</th>
              <th scope="col">State</th>
              <th scope="col" className="figure">
                Scans
              </th>
              <th scope="col" className="figure">
                Lines
              </th>
              <th scope="col" className="figure">
                Open findings
              </th>
            </tr>
          </thead>
          <tbody>
            {page.cards.map((card) => (
              <tr key={card.card_id}>
                <th scope="row">
                  <Link to={{ desk: "card", card: card.card_id, line: null, field: null }}>{card.label}</Link>
                </th>
                <td>{card.locator}</td>
                <td>{stateInWords(card)}</td>
                <td className="figure">{card.scans > 0 ? card.scans : ""}</td>
                <td className="figure">{card.lines > 0 ? card.lines : ""}</td>
                <td className="figure">{card.findings_open > 0 ? card.findings_open : ""}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <ItsForm source={page.source.source_id ?? ""} cards={page.cards} />
      <HowRead source={page.source.source_id ?? ""} />
    </>
  );
}

function stateInWords({ state, scans, read, lines, checked }: SourcePage["cards"][number]): string {
  if (checked) return "checked";
  if (state === "lost") return "lost";
  if (state === "known") return "known to exist, not seen";
  if (scans > 0 && !read && lines === 0) return "not read yet";
  return lines > 0 ? "read" : "seen";
}
