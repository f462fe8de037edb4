import type { Finding } from "../../diagnostics/finding.js";
import type { Variable } from "../../machine/expression.js";
import { coneOf, orderOf } from "../../machine/slice.js";
import { EMPTY, NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime, Search } from "../../machine/symbolic/search.js";
import { Transitions } from "../../machine/transitions.js";
import { type Context, idleEquipment } from "../context.js";
import { learnFrom } from "../learned.js";
import type { Reached } from "../merge.js";
import { changingOf } from "./changing.js";
import { proveCovers } from "./covers.js";
import { proveDuties } from "./duties.js";
import { proveFlow } from "./flow.js";
import { proveObservations } from "./observe.js";
import { proveProhibitions } from "./prohibit.js";
import { reachedOf } from "./reached.js";
import { proveSettling } from "./settling.js";
import { proveSight, sightVariables } from "./sight.js";
import { startsLog10 } from "./starts.js";
import { unprovedWhole } from "./tell.js";

export interface Whole {
  readonly hasStart: boolean;
  readonly startsLog10: number;
  readonly findings: readonly Finding[];
  /** Absent where the limit came first. */
  readonly reached?: Reached;
  readonly changing: ReadonlySet<string> | "unknown";
}

const NOTHING: Reached = { steps: new Map(), branches: new Map(), moves: new Map() };

/** Everything but the rules: one search over all that the procedure touches, then questions to what it reached. */
export function searchWhole(context: Context): Whole {
  try {
    const search = wholeSearch(context);
    const idle = idleSearch(context);
    if (search.start === EMPTY || idle?.start === EMPTY)
      return { hasStart: false, startsLog10: 0, findings: [], reached: NOTHING, changing: new Set() };
    learnFrom(context, search.run());
    const findings = [
      ...proveSettling(context, search),
      ...(idle ? proveSettling({ ...context, whole: idle.transitions.slice! }, idle.runStart()) : []),
      ...proveFlow(context, search),
      ...proveObservations(context, search),
      ...proveSight(context, search),
      ...proveProhibitions(context, search),
      ...proveDuties(context, search),
      ...proveCovers(context, search),
    ];
    const { verdictsOnly } = context.limits;
    return {
      hasStart: true,
      startsLog10: verdictsOnly ? 0 : startsLog10(context, search),
      findings,
      reached: reachedOf(context, search),
      changing: verdictsOnly ? "unknown" : changingOf(context, search),
    };
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    return {
      hasStart: true,
      startsLog10: 0,
      findings: [unprovedWhole(context.procedure)],
      changing: "unknown",
    };
  }
}

function wholeSearch(context: Context): Search {
  const extra = [...sightVariables(context), ...originVariables(context, context.whole)];
  return searchWith(context, context.whole, extra);
}

/** Equipment that the procedure leaves alone: can it rest at all, and does it settle whatever it does by itself? */
function idleSearch(context: Context): Search | undefined {
  const idle = idleEquipment(context);
  if (idle.length === 0) return undefined;
  const slice = coneOf(context.influences, idle);
  return searchWith(context, slice, originVariables(context, slice));
}

interface Extra {
  readonly variable: Variable;
  readonly near: ReadonlySet<Variable>;
}

function searchWith(context: Context, slice: ReadonlySet<Variable>, extra: readonly Extra[]): Search {
  const { model, influences, limits } = context;
  const wanted = new Set<Variable>([...slice, ...extra.map((one) => one.variable)]);
  const beside = new Map(influences);
  for (const { variable, near } of extra) beside.set(variable, near);
  return new Search(new Transitions(model, [], slice), {
    order: orderOf(beside, [], wanted),
    ...(limits.deadline ? { deadline: limits.deadline } : {}),
    ...(limits.nodes ? { nodeLimit: limits.nodes } : {}),
  });
}

/** For each variable that settling assigns, where it stood before: races are looked for with these. */
function originVariables(context: Context, slice: ReadonlySet<Variable>): readonly Extra[] {
  const { world, dynamics } = context.model;
  const counted = dynamics.immediate.filter((piece) => slice.has(piece.variable));
  return counted.map((piece) => ({
    variable: world.variable(`origin of ${piece.variable.name}`, piece.variable.size, { kind: "before" }),
    near: new Set([piece.variable]),
  }));
}
