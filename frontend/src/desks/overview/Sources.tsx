/** The sources of the archive, and how much of each is still unread. */
import type { SourceSummary } from "../../api/views";
import { Link } from "../../shell/router";

export function Sources({ sources }: { sources: readonly SourceSummary[] }) {
  return (
    <div className="scrolls" role="region" aria-label="Table of sources" tabIndex={0}>
      <table className="sources">
      <thead>
        <tr>
          <th scope="col">Source</th>
          <th scope="col" className="figure">
            Cards
          </th>
          <th scope="col" className="figure">
            Lines
          </th>
          <th scope="col" className="figure">
            Unread
          </th>
        </tr>
      </thead>
      <tbody>
        {sources.map((source) => (
          <tr key={source.source_id}>
            <th scope="row">
              <Link to={{ desk: "sources", source: source.source_id }}>{source.title}</Link>
            </th>
            <td className="figure">{source.cards}</td>
            <td className="figure">{source.lines}</td>
            <td className="figure">{source.unread > 0 ? source.unread : ""}</td>
          </tr>
        ))}
      </tbody>
    </table>
    </div>
  );
}
