/** Degrees of evidence: a figure between 0 and 1 as a word, and as the rule that is drawn under a claim. */

export const DEGREES = ["near certain", "probable", "doubtful", "improbable", "contradicted", "unknown"] as const;
export type Degree = (typeof DEGREES)[number];

/** The word for a probability; `contradicted` whenever an open finding names the claim, whatever its figure. */
export function degreeOf(sure: number | null, contradicted = false): Degree {
  if (contradicted) return "contradicted";
  if (sure === null) return "unknown";
  if (sure >= 0.98) return "near certain";
  if (sure >= 0.85) return "probable";
  return sure >= 0.5 ? "doubtful" : "improbable";
}

/** A probability in hundredths; never 100 unless it is certain, never 0 unless it is impossible. */
export function hundredths(probability: number): string {
  if (probability > 0.995 && probability < 1) return "over 99 in 100";
  if (probability < 0.005 && probability > 0) return "under 1 in 100";
  return `${Math.round(probability * 100)} in 100`;
}

/** What a weight of evidence does to the odds, in words; the weight is in log2 odds. */
export function weightInWords(weight: number): string {
  const times = 2 ** Math.abs(weight);
  if (times < 1.05) return "makes no odds";
  const figure = times >= 1000 ? "over a thousand" : times >= 10 ? Math.round(times).toString() : times.toFixed(1);
  return weight > 0 ? `${figure} times likelier` : `${figure} times less likely`;
}
