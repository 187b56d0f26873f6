/** A claim over the rule that says how sure it is; the word is always to be had beside it. */
import type { ReactNode } from "react";
import type { Degree } from "../core/degrees";

interface DegreeProps {
  degree: Degree;
  children: ReactNode;
  /** Show the word too; else only a screen reader says it, and the pointer finds it. */
  word?: boolean;
}

export function Sure({ degree, children, word = false }: DegreeProps) {
  return (
    <>
      <span className="degree" data-degree={degree} title={word ? undefined : degree}>
        {children}
      </span>
      {word ? <span className="soft small"> {degree}</span> : <span className="unseen"> ({degree})</span>}
    </>
  );
}

/** What the rules mean, once on every desk that uses them. */
export function RulesKey() {
  return (
    <p className="rules-key small soft">
      The rule under a claim says how sure it is:{" "}
      {(["near certain", "probable", "doubtful", "contradicted", "unknown"] as const).map((degree, nth) => (
        <span key={degree}>
          {nth > 0 && ", "}
          <span className="degree" data-degree={degree}>
            {degree}
          </span>
        </span>
      ))}
      .
    </p>
  );
}
