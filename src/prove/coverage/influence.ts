import { type Variable, variablesOf } from "../../machine/expression.js";
import { assigned } from "../../machine/operation.js";
import { coneOf, rootsOf } from "../../machine/slice.js";
import { NodeLimit } from "../../machine/symbolic/bdd.js";
import { walkSteps } from "../../program/walk.js";
import { ask } from "../answer.js";
import type { Context } from "../context.js";
import { type Query, searchIn } from "../query.js";
import { proveRule } from "../rules.js";
import type { MadeSlip } from "./slips.js";
import { type Asking, owed, ruleQuery, watchedOver } from "./suspects.js";

/** Something that holds without a slip, and the part of the model in which it does so whatever the rest is like. */
export interface Holding {
  readonly asking: Asking;
  /** Absent: it takes the whole. */
  readonly within: ReadonlySet<Variable> | undefined;
}

/** The rules, prohibitions, duties, promises and needs that hold of the procedure as it is: only these can a slip break. */
export function holdingIn(context: Context): readonly Holding[] {
  const rules = context.model.rules.flatMap((lowered): Holding[] => {
    const asking = { kind: "rule", rule: lowered.rule.id } as const;
    const query = ruleQuery(context.model, lowered);
    const within = witness(context, query);
    if (within) return [{ asking, within: addsUp(query) ? undefined : within }];
    return proveRule(context, lowered).verdict === "holds" ? [{ asking, within: undefined }] : [];
  });
  const watched = watchedOver(context).flatMap(({ asking, query }): Holding[] => {
    const within = witness(context, query);
    if (within) return [{ asking, within: addsUp(query) ? undefined : within }];
    return ask(context, query).verdict === "holds" ? [{ asking, within: undefined }] : [];
  });
  const rest = owed(context).map(({ asking, wrong }): Holding => {
    const query = { monitors: [], atPlace: wrong, names: [...wrong.values()] };
    return { asking, within: witness(context, query) };
  });
  return [...rules, ...watched, ...rest];
}

/** Times add up over every line, stated ones and those of a clock of the question's own. */
function addsUp({ monitors }: Query): boolean {
  return monitors.some(({ along, ticks }) => along !== undefined || ticks !== undefined);
}

/** A slice in which the question has a good answer: more paths are thought of there than there are. */
function witness(context: Context, query: Query): ReadonlySet<Variable> | undefined {
  const roots = [...rootsOf(query.monitors), ...query.names.flatMap((name) => [...variablesOf(name)])];
  for (const influences of [context.timeless, context.influences]) {
    const slice = coneOf(influences, roots);
    if (isGood(context, query, slice)) return slice;
  }
  return undefined;
}

function isGood(context: Context, query: Query, slice: ReadonlySet<Variable>): boolean {
  try {
    const search = searchIn(context, query, slice).runUntil(
      () => true,
      (id) => query.atPlace.has(id),
    );
    const { space } = search;
    if (search.breaches.length > 0) return false;
    return [...query.atPlace].every(([id, wrong]) => !space.bdd.meets(search.reachedAt(id), space.set(wrong)));
  } catch (error) {
    if (error instanceof NodeLimit) return false;
    throw error;
  }
}

/** What a slip can make different: all that the lines in it name or change. `all` where one of them can end the run. */
export function touchedBy({ replaces, fails }: MadeSlip, { model }: Context): ReadonlySet<Variable> | "all" {
  const piece = fails && model.world.equipment(fails.equipment);
  if (piece) return new Set([piece]);
  const steps = new Set([...walkSteps([...replaces.keys()])]);
  if ([...steps].some(({ kind }) => kind === "finish" || kind === "set-aside" || kind === "go-to")) return "all";
  const found = new Set<Variable>();
  for (const edge of model.graph.edges) {
    if (!edge.step || !steps.has(edge.step)) continue;
    for (const variable of model.namedBy.get(edge) ?? []) found.add(variable);
    if (edge.kind === "tick") for (const variable of model.ticks.flatMap(assigned)) found.add(variable);
  }
  for (const variable of [...found]) for (const one of guardsOf(model.world, variable)) found.add(one);
  return found;
}

/** The guard over a control, and the control under a guard: a control set elsewhere may move them. */
function guardsOf(world: Context["model"]["world"], { role }: Variable): readonly Variable[] {
  if (role.kind !== "control") return [];
  const declared = world.system.controls.get(role.thing);
  return [declared?.guard, declared?.guards?.control].flatMap((id) =>
    id === undefined ? [] : (world.control(id) ?? []),
  );
}

export function canInfluence(
  touched: ReadonlySet<Variable> | "all",
  within: ReadonlySet<Variable> | undefined,
): boolean {
  if (touched === "all" || !within) return true;
  for (const variable of touched) if (within.has(variable)) return true;
  return false;
}

/** Two ways to ask the same thing, of different models of one procedure. */
export function isSameAsking(one: Asking, other: Asking): boolean {
  if ("rule" in one || "rule" in other) return "rule" in one && "rule" in other && one.rule === other.rule;
  if ("monitor" in one || "monitor" in other)
    return "monitor" in one && "monitor" in other && one.of === other.of && one.monitor === other.monitor;
  if (one.kind !== other.kind || one.condition !== other.condition) return false;
  return one.kind !== "need" || other.kind !== "need" || one.step === other.step;
}
