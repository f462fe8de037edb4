import { type Expression, equals, FALSE, type Variable, variablesOf } from "../../machine/expression.js";
import type { Edge, Graph, Node } from "../../machine/graph/graph.js";
import { assign } from "../../machine/operation.js";
import { coneOf } from "../../machine/slice.js";
import { EMPTY, NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import { primeImplicant } from "../../machine/symbolic/trace.js";
import type { Monitor } from "../../machine/transitions.js";
import type { LeftOver } from "../../program/coverage.js";
import { ask } from "../answer.js";
import { type Context, wholeWith } from "../context.js";
import { UNPROVED } from "../kinds.js";
import { questionOf } from "../monitors.js";
import { searchIn } from "../query.js";
import { textOf } from "../words.js";
import { looksOf } from "./looks.js";

/**
 * The controls that are neither set nor looked at on some path to the good end, with what their position can do: break a
 * rule before anything is done. All else is proved from every position, and says only who reads it.
 */
export function leftOverOn(context: Context): readonly LeftOver[] {
  const { world, graph } = context.model;
  const met = metBy(graph);
  const left = [...world.system.controls.keys()].flatMap((id) => {
    const missed = world.isFitted(id) ? canMiss(context, id, met.get(id) ?? new Set()) : "no";
    return missed === "no" ? [] : [{ control: id, isUnproved: missed === "unproved" }];
  });
  const readers = readersOf(context);
  const harms = harmsAtStart(context);
  return left.map(({ control, isUnproved }): LeftOver => {
    const variable = world.find(control);
    const reading = variable ? readers.filter(({ reads }) => reads.has(variable)) : [];
    const first = variable && firstAbout(context, variable);
    return {
      control,
      harms: [
        ...(isUnproved ? [NOT_KNOWN_TO_BE_MISSED] : []),
        ...(variable ? harms.filter(({ names }) => names.has(variable)).map(({ harm }) => harm) : []),
      ],
      readBy: [...new Set(reading.map(({ name }) => name))],
      ...(reading.length > 0 && first !== undefined && { checkBefore: first }),
    };
  });
}

/** Whether the control can be missed at all: the limit came first. */
const NOT_KNOWN_TO_BE_MISSED = {
  code: UNPROVED.code,
  about: "whether it is met on every path",
  severity: UNPROVED.severity,
};

/** For each control the edges on which it is set or made known. */
function metBy({ edges }: Graph): ReadonlyMap<string, ReadonlySet<Edge>> {
  const found = new Map<string, Set<Edge>>();
  for (const edge of edges) {
    const moved = edge.operations.flatMap((one) =>
      one.kind === "assign" && one.variable.role.kind === "control" ? [one.variable.role.thing] : [],
    );
    for (const thing of new Set([...moved, ...edge.learns]))
      found.set(thing, (found.get(thing) ?? new Set()).add(edge));
  }
  return found;
}

/** Is there a path to the good end that meets none of the edges? Asked of the drawing first, of the states where that is not enough. */
function canMiss(context: Context, control: string, meets: ReadonlySet<Edge>): "yes" | "no" | "unproved" {
  const { graph, world } = context.model;
  if (!leadsPast(graph, meets)) return "no";
  const mark = world.variable(`met ${control}`, 2, { kind: "memory" });
  const monitor: Monitor = {
    name: mark.name,
    variables: [mark],
    inputs: new Set(),
    before: [],
    after: [],
    scratch: [],
    start: [assign(mark, 0)],
    broken: FALSE,
    along: (edge) => (meets.has(edge) ? [assign(mark, 1)] : []),
  };
  const missed = equals(mark, 0);
  const answer = ask(context, { monitors: [monitor], atPlace: new Map([[graph.finish.id, missed]]), names: [missed] });
  if (answer.verdict === "unproved") return "unproved";
  return answer.verdict === "holds" ? "no" : "yes";
}

function leadsPast({ start, finish, outgoing }: Graph, meets: ReadonlySet<Edge>): boolean {
  const seen = new Set<Node>([start]);
  for (const node of seen) for (const edge of outgoing.get(node) ?? []) if (!meets.has(edge)) seen.add(edge.to);
  return seen.has(finish);
}

interface Reader {
  readonly name: string;
  readonly reads: ReadonlySet<Variable>;
}

/** Rules, promises and lists, with the variables that their conditions come down to. */
function readersOf(context: Context): readonly Reader[] {
  const { model } = context;
  const named = (expressions: readonly (Expression | "end" | undefined)[]) =>
    new Set(expressions.flatMap((one) => (one && one !== "end" ? [...variablesOf(one)] : [])));
  return [
    ...model.rules.map((one) => ({
      name: `rule ${one.rule.id}`,
      reads: named([one.condition, one.trigger, one.deadline, one.onlyAfter, one.onlyUntil]),
    })),
    ...model.procedure.ends.map((end) => ({ name: `promise ${textOf(end)}`, reads: named([model.world.lower(end)]) })),
    ...looksOf(context).all.map(({ step, wrong }) => ({ name: `step ${step.name}`, reads: named([wrong]) })),
  ];
}

interface Harm {
  readonly names: ReadonlySet<Variable>;
  readonly harm: LeftOver["harms"][number];
}

/** What the last crew left can break: the start conditions of `order/already-so`. */
function harmsAtStart(context: Context): readonly Harm[] {
  return context.model.rules.flatMap((lowered) => {
    const { alreadySo } = questionOf(context.model, lowered);
    if (alreadySo === FALSE) return [];
    const slice = wholeWith(context, [], [alreadySo]);
    try {
      const search = searchIn(context, { monitors: [], names: [alreadySo] }, slice);
      const states = search.space.bdd.and(search.start, search.space.set(alreadySo));
      if (states === EMPTY) return [];
      const literals = primeImplicant(search, search.space.set(alreadySo), search.start);
      const { id, severity } = lowered.rule;
      const harm = { code: "order/already-so", about: `rule ${id}`, severity };
      return [{ names: new Set(literals.map(({ variable }) => variable)), harm }];
    } catch (error) {
      if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
      const harm = { code: UNPROVED.code, about: `rule ${lowered.rule.id}`, severity: UNPROVED.severity };
      return [{ names: variablesOf(alreadySo), harm }];
    }
  });
}

/** The first step in the text with which the position of the control can come to matter. */
function firstAbout(context: Context, control: Variable): string | undefined {
  const { graph } = context.model;
  const cone = coneOf(context.influences, [control]);
  const names = graph.edges.flatMap((edge) => {
    if (!edge.step || edge.kind !== "act") return [];
    const changed = [...(context.model.namedBy.get(edge) ?? [])];
    return changed.some((one) => cone.has(one) || context.influences.get(one)?.has(control)) ? [edge.step.name] : [];
  });
  const place = (name: string) => context.textOrder.get(name) ?? Number.POSITIVE_INFINITY;
  return [...graph.entries.keys()]
    .map(({ name }) => name)
    .filter((name) => names.includes(name))
    .sort((one, other) => place(one) - place(other))[0];
}
