import { type Expression, equals, FALSE, type Variable, variablesOf } from "../machine/expression.js";
import type { Node } from "../machine/graph/graph.js";
import { incomingOf } from "../machine/graph/reach.js";
import { coneOf, orderOf, rootsOf } from "../machine/slice.js";
import { EMPTY, NodeLimit } from "../machine/symbolic/bdd.js";
import type { Goal } from "../machine/symbolic/goal.js";
import { OutOfTime, Search } from "../machine/symbolic/search.js";
import { type Path, shortestPath } from "../machine/symbolic/trace.js";
import { type Monitor, type Transition, Transitions } from "../machine/transitions.js";
import type { Step } from "../program/procedure.js";
import type { Verdict } from "../program/verdict.js";
import { type Context, wholeWith } from "./context.js";

/** A question that a search can answer: what must not be at a moment, and what must not be at a place. */
export interface Query {
  /** They judge every moment. */
  readonly monitors: readonly Monitor[];
  /** What must not be at a place, by node id. */
  readonly atPlace: ReadonlyMap<number, Expression>;
  /** Everything that the question names. */
  readonly names: readonly Expression[];
  /** Only what breaks by an act or a change counts: a gauge's own move is nobody's step. */
  readonly byActs?: boolean;
}

export type Answer = Holds | { readonly verdict: "unproved" } | Violated;

interface Holds {
  readonly verdict: "holds";
  /** Those among which no way was found, where that is known. */
  readonly among?: Transitions;
}

export interface Violated {
  readonly verdict: "violated";
  readonly search: Search;
  readonly path: Path;
  readonly relevant: ReadonlySet<Variable>;
  /** A search of the whole for the same question, gone through to the end. */
  readonly explored?: Search;
}

/** The same, with a break by a gauge's own move only where nothing else can break it. */
export function askOfActs(context: Context, query: Query, first?: Search): Answer {
  const answer = ask(context, query, first);
  if (answer.verdict !== "violated" || !isByGauge(answer.path)) return answer;
  const own = ask(context, { ...query, byActs: true });
  return own.verdict === "holds" ? answer : own;
}

/** The narrowest search that can answer, not yet run; the limits may come first already. */
export function firstSearch(context: Context, query: Query): Search {
  return searchIn(context, query, firstSlice(context, query));
}

function firstSlice(context: Context, { monitors, names }: Query): ReadonlySet<Variable> {
  return coneOf(context.timeless, [...rootsOf(monitors), ...names.flatMap((name) => [...variablesOf(name)])]);
}

/** Does the path end wrong by a gauge's own move? */
export function isByGauge(path: Path): boolean {
  return path.endsAtMoment && path.steps.at(-1)?.transition.cause.kind === "move";
}

/** The answer, or `unproved` where a limit comes first. Where the nodes run out it is asked in other ways that may need fewer. */
export function ask(context: Context, query: Query, first?: Search): Answer {
  try {
    return askOnce(context, query, {}, first) ?? askDeclared(context, query) ?? askInCases(context, query);
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { verdict: "unproved" };
    throw error;
  }
}

/**
 * The verdict alone, with no way to tell of: in the first slice, or one like that in which it held of a model much like this one, then in
 * the whole, each gone through to the first break. One that the whole finds is one, since it leaves nothing out. Where the nodes run
 * out it is asked as if it were to be told.
 */
export function askVerdict(context: Context, query: Query, like?: Transitions): Verdict {
  try {
    const near = like ? sliceLike(context, query, like) : firstSlice(context, query);
    for (const slice of [near, wholeWith(context, query.monitors, query.names)])
      if (!isBroken(runToBreach(searchIn(context, query, slice), query), query)) return "holds";
    return "violated";
  } catch (error) {
    if (error instanceof NodeLimit) return ask(context, query).verdict;
    if (error instanceof OutOfTime) return "unproved";
    throw error;
  }
}

/** The first slice, where it has all variables of those names; else grown by them. */
function sliceLike(context: Context, query: Query, { slice }: Transitions): ReadonlySet<Variable> {
  const first = firstSlice(context, query);
  const named = [...(slice ?? [])].flatMap(({ name }) => context.model.world.find(name) ?? []);
  return named.every((variable) => first.has(variable)) ? first : coneOf(context.influences, [...first, ...named]);
}

function runToBreach(search: Search, query: Query): Search {
  return search.runUntil(
    ({ transition }) => counts(query, transition),
    (id) => query.atPlace.has(id),
  );
}

/** With the variables in the order in which the model names them. */
function askDeclared(context: Context, query: Query): Answer | undefined {
  return askOnce(context, query, { isDeclaredOrder: true });
}

/** One start position of a handle after the other: it holds where it holds in every case, and is broken where it is in one. */
function askInCases(context: Context, query: Query): Answer {
  const handle = [...firstSlice(context, query)].find(
    ({ role, size }) => role.kind === "control" && size <= MOST_CASES,
  );
  if (!handle) return { verdict: "unproved" };
  const cases = Array.from({ length: handle.size }, (_, value) =>
    askOnce(context, query, { given: equals(handle, value) }),
  );
  if (cases.every((answer) => answer?.verdict === "holds")) return { verdict: "holds" };
  const broken = cases.flatMap((answer) => (answer?.verdict === "violated" ? [answer] : []));
  const [shortest] = broken.sort((a, b) => a.path.moments - b.path.moments);
  const lifted =
    shortest && lift(searchIn(context, query, wholeWith(context, query.monitors, query.names)), query, shortest.path);
  return lifted ? { verdict: "violated", ...lifted, relevant: shortest.relevant } : { verdict: "unproved" };
}

/** Positions of a handle that are still asked for one by one. */
const MOST_CASES = 6;

/** How a question is put. */
interface How {
  /** What the starts are narrowed to. */
  readonly given?: Expression;
  readonly isDeclaredOrder?: boolean;
}

/**
 * Looks for a way to the goal in a slice of the model: the variables that the question depends on, at first without the
 * clocks of delayed changes. What a slice leaves out only adds paths, so "none" is an answer. The shortest path found is
 * an answer if the whole model can go the same way; else the slice grows by what was left out along it, until it is hardly smaller
 * than the whole. Undefined where the nodes run out.
 */
function askOnce(context: Context, query: Query, how: How, first?: Search): Answer | undefined {
  try {
    let whole: Search | undefined;
    const ofWhole = () => {
      whole ??= searchIn(context, query, wholeWith(context, query.monitors, query.names), how);
      return whole;
    };
    let slice = firstSlice(context, query);
    for (let round = 0; ; round++) {
      const search = runToBreach(round === 0 && first ? first : searchIn(context, query, slice, how), query);
      if (!isBroken(search, query)) return { verdict: "holds", ...(how.given ? {} : { among: search.transitions }) };
      const path = shortestPath(search, goalOf(search, query), inText(context, search));
      const lifted = path && lift(ofWhole(), query, path);
      if (lifted) return { verdict: "violated", ...lifted, relevant: slice };
      const left =
        path?.steps.flatMap(({ transition }) => transition.dropped.flatMap((part) => [...variablesOf(part)])) ?? [];
      const grown = coneOf(context.influences, [...slice, ...left]);
      if (grown.size === slice.size || grown.size * WORTHWHILE > ofWhole().space.variables.length) break;
      slice = grown;
    }
    return askWhole(context, query, slice, ofWhole());
  } catch (error) {
    if (error instanceof NodeLimit) return undefined;
    throw error;
  }
}

/** How many times as large as a slice the whole has to be for the slice to be worth asking first. */
const WORTHWHILE = 1.5;

function inText(context: Context, search: Search): (path: Path) => number {
  return (path) => context.textOrder.get(guiltyOf(search, path)?.name ?? "") ?? -1;
}

/** The step to blame where a path ends wrong: what ended the run, if the run has ended before its finish. */
export function guiltyOf(search: Search, path: Path): Step | undefined {
  const end = path.endsAtMoment ? undefined : placeAfter(search, path).end;
  return end && end.kind !== "finish" ? end.step : blameOf(path);
}

/** The same acts and changes in the whole model, where they can be done and end wrong there too. */
function lift(search: Search, query: Query, path: Path): { readonly search: Search; readonly path: Path } | undefined {
  const steps = path.steps.map(({ from, transition }) => ({
    from,
    transition: search.transitions.like(from, transition),
  }));
  const asked = path.endsAtMoment
    ? search.space.set(steps.at(-1)!.transition.broken)
    : search.space.set(query.atPlace.get(placeAfter(search, path).id) ?? FALSE);
  const sets = search.setsAlong(steps, asked, path.endsAtMoment);
  return sets ? { search, path: { ...path, steps, sets } } : undefined;
}

/** The answer in the whole model, with the shortest path. */
function askWhole(context: Context, query: Query, relevant: ReadonlySet<Variable>, whole: Search): Answer {
  const search = whole.run();
  if (!isBroken(search, query)) return { verdict: "holds", among: search.transitions };
  const near = searchIn(context, query, relevant).run();
  const scout = { search: near, goal: goalOf(near, query) };
  const path = shortestPath(search, goalOf(search, query), inText(context, search), scout);
  return path ? { verdict: "violated", search, path, relevant, explored: search } : { verdict: "unproved" };
}

/** The steps at which a question can be answered with "wrong" first, in the whole model. */
export interface Wrongdoers {
  /** Those whose own act does it. */
  readonly acts: readonly Step[];
  /** Those in whose pause it can come about, or after which the run can end so. */
  readonly others: readonly Step[];
}

/**
 * Who can be to blame. The slice in which the way was found names all of them at least: the whole is asked only where it names
 * more than the one to blame. Nobody where the limit comes first: they are only told beside the answer.
 */
export function wrongdoers(context: Context, query: Query, answer: Violated, blamed: Step | undefined): Wrongdoers {
  try {
    const first = wrongdoersIn(context, query, searchIn(context, query, answer.relevant).run());
    if ([...first.acts, ...first.others].every((step) => step === blamed)) return first;
    const whole = answer.explored ?? searchIn(context, query, wholeWith(context, query.monitors, query.names)).run();
    return wrongdoersIn(context, query, whole);
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { acts: [], others: [] };
    throw error;
  }
}

function wrongdoersIn(context: Context, query: Query, search: Search): Wrongdoers {
  const before = lastActsOf(context);
  const acts = search.breaches.flatMap(({ transition }) => stepOf(transition.cause) ?? []);
  const pauses = search.breaches.flatMap(({ from, transition }) =>
    transition.cause.kind === "change" ? before(from) : [],
  );
  const ends = context.model.graph.nodes.flatMap((node) => {
    const wrong = query.atPlace.get(node.id);
    if (!wrong || search.space.bdd.and(search.reachedAt(node.id), search.space.set(wrong)) === EMPTY) return [];
    return node.end && node.end.kind !== "finish" ? [node.end.step] : before(node);
  });
  return { acts: [...new Set(acts)], others: [...new Set([...pauses, ...ends])] };
}

/** The steps whose act can be the last before a place. */
export function lastActsOf(context: Context): (node: Node) => readonly Step[] {
  const incoming = incomingOf(context.model.graph.edges);
  return (node) => {
    const places = new Set([node]);
    const steps: Step[] = [];
    for (const place of places) {
      for (const edge of incoming.get(place) ?? []) {
        if (edge.kind === "pass") places.add(edge.from);
        else if (edge.step) steps.push(edge.step);
      }
    }
    return steps;
  };
}

export function searchIn(
  context: Context,
  query: Pick<Query, "monitors" | "names"> & Partial<Query>,
  slice: ReadonlySet<Variable>,
  { given, isDeclaredOrder }: How = {},
): Search {
  const transitions = new Transitions(context.model, query.monitors, slice);
  const roots = [...query.names, ...query.monitors.map((monitor) => monitor.broken)];
  const influences = new Map(context.influences);
  for (const monitor of query.monitors)
    for (const variable of monitor.variables) influences.set(variable, monitor.inputs);
  const { deadline, nodes } = context.limits;
  const { atPlace } = query;
  return new Search(transitions, {
    order: isDeclaredOrder ? [...slice].sort((a, b) => a.index - b.index) : orderOf(influences, roots, slice),
    ...(given ? { given } : {}),
    ...(deadline ? { deadline } : {}),
    ...(nodes ? { nodeLimit: nodes } : {}),
    ...(atPlace ? { asked: (id: number) => variablesOf(atPlace.get(id) ?? FALSE) } : {}),
  });
}

function goalOf(search: Search, query: Query): Goal {
  const { space } = search;
  const atPlace = new Map([...query.atPlace].map(([id, wrong]) => [id, space.set(wrong)]));
  return { atPlace, atBreach: (transition) => counts(query, transition) };
}

function counts({ byActs }: Query, { cause }: Transition): boolean {
  return !byActs || cause.kind !== "move";
}

function isBroken(search: Search, query: Query): boolean {
  if (search.breaches.some(({ transition }) => counts(query, transition))) return true;
  for (const [id, wrong] of query.atPlace) {
    if (search.space.bdd.and(search.reachedAt(id), search.space.set(wrong)) !== EMPTY) return true;
  }
  return false;
}

function stepOf(cause: Path["steps"][number]["transition"]["cause"]): Step | undefined {
  return cause.kind === "edge" ? cause.edge.step : undefined;
}

/** The step to blame: of the last act; for what happens in a pause, the step in whose pause it is; undefined before step 1. */
export function blameOf(path: Path): Step | undefined {
  for (const { transition } of path.steps.toReversed()) {
    if (transition.cause.kind === "edge" && transition.cause.edge.kind !== "pass") return transition.cause.edge.step;
  }
  return undefined;
}

/** Where a path leads to. */
export function placeAfter(search: Search, path: Path): Node {
  const last = path.steps.at(-1);
  if (!last) return search.transitions.model.graph.start;
  return last.transition.cause.kind === "edge" ? last.transition.cause.edge.to : last.from;
}
