import { buildModel } from "../../machine/model.js";
import { NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { Broken, SlipRow } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Tail } from "../../program/system.js";
import { type Context, contextOf, type Limits } from "../context.js";
import { proveRule } from "../rules.js";
import { caughtAt } from "./caught.js";
import { confirmed } from "./confirm.js";
import { type Slipped, unnoticed, withAnySlip, withSlip } from "./slipped.js";
import type { MadeSlip } from "./slips.js";
import { suspectsOf } from "./suspects.js";

/** Slips looked at in one search. */
const BATCH = 48;

interface Asked {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly tail: Tail;
  readonly limits: Limits;
}

/** What becomes of each slip on one tail: silent, caught or harmless. */
export function slipsOnTail(asked: Asked, slips: readonly MadeSlip[], progress?: (done: number) => void): SlipRow[] {
  const rows: SlipRow[] = [];
  const holding = rulesThatHold(asked);
  for (let at = 0; at < slips.length; at += BATCH) {
    progress?.(at);
    rows.push(...rowsOf(asked, slips.slice(at, at + BATCH), holding));
  }
  return rows;
}

/** Ids of the rules that are proved of the procedure as it is: only these can a slip break. */
function rulesThatHold({ program, procedure, tail, limits }: Asked): ReadonlySet<string> {
  const context = contextFor({ program, procedure, system: program.systems.get(procedure.system)! }, tail, limits);
  const proved = context.model.rules.filter((lowered) => proveRule(context, lowered).verdict === "holds");
  return new Set(proved.map(({ rule }) => rule.id));
}

function rowsOf(asked: Asked, slips: readonly MadeSlip[], holding: ReadonlySet<string>): readonly SlipRow[] {
  try {
    return batch(asked, slips, holding);
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    if (error instanceof OutOfTime || slips.length === 1)
      return slips.map(({ slip }) => ({ slip, verdict: "unproved" }));
    const half = slips.length >> 1;
    return [...rowsOf(asked, slips.slice(0, half), holding), ...rowsOf(asked, slips.slice(half), holding)];
  }
}

function batch(asked: Asked, slips: readonly MadeSlip[], holding: ReadonlySet<string>): readonly SlipRow[] {
  const any = withAnySlip(asked.program, asked.procedure, slips);
  const blind = contextFor(unnoticed(any), asked.tail, asked.limits);
  const suspects = suspectsOf(blind, holding);
  const silent = new Map<number, Broken | "unproved">();
  for (const [index, questions] of suspects) {
    const alone = unnoticed(withSlip(asked.program, asked.procedure, slips[index - 1]!));
    const broken = confirmed(contextFor(alone, asked.tail, asked.limits), questions);
    if (broken) silent.set(index, broken);
  }
  const caught = caughtAt(contextFor(any, asked.tail, asked.limits));
  return slips.map(({ slip }, place): SlipRow => {
    const breaks = silent.get(place + 1);
    if (breaks === "unproved") return { slip, verdict: "unproved" };
    if (breaks) return { slip, verdict: "silent", breaks };
    const step = caught.get(place + 1);
    return step === undefined ? { slip, verdict: "harmless" } : { slip, verdict: "caught", caughtAt: step };
  });
}

function contextFor(
  { program, procedure, system }: Pick<Slipped, "program" | "procedure" | "system">,
  tail: Tail,
  limits: Limits,
): Context {
  return contextOf(program, procedure, buildModel(program, system, procedure, tail), limits);
}
