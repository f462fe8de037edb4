/** The answer to one question about one procedure on some tails. A limit that was hit is `unproved`, never `holds`. */
export type Verdict = "holds" | "violated" | "unproved";

/** What was proved of one procedure; the findings say the rest. */
export interface Proof {
  readonly procedure: string;
  /** Names of the tails that have a start. */
  readonly tails: readonly string[];
  /** One row for each rule that is for this procedure, in the order of the rules. */
  readonly rules: readonly { readonly rule: string; readonly verdict: Verdict }[];
  /** How many positions of controls, equipment and what is outside the procedure may start from, as a power of ten; the largest over the tails. */
  readonly startsLog10: number;
}
