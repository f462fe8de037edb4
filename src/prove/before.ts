import type { Finding } from "../diagnostics/finding.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import type { Tail } from "../program/system.js";
import { mergeTails, type TailResult } from "./merge.js";
import { type ProveOptions, proveTails } from "./prove.js";

/** What was proved of a procedure before it is changed. */
export interface Before {
  readonly findings: readonly Finding[];
  readonly byTail: ReadonlyMap<Tail, TailResult>;
}

export function proveBefore(program: Program, procedure: Procedure, options: ProveOptions): Before {
  const results = proveTails(program, procedure, options);
  const byTail = new Map(results.map((result) => [result.tail, result]));
  return { findings: mergeTails(program, procedure, results).findings, byTail };
}

/** Each rule is asked first in a slice like that in which it held before. */
export function likeBefore({ byTail }: Before): NonNullable<ProveOptions["known"]> {
  return ({ model }, { rule }) => {
    const among = byTail.get(model.world.tail)?.held?.get(rule.id);
    return among && { isAnswered: false, among };
  };
}
