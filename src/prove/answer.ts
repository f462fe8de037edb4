import { equals, type Variable } from "../machine/expression.js";
import { waysAlong } from "../machine/graph/reach.js";
import { coneOf } from "../machine/slice.js";
import { NodeLimit } from "../machine/symbolic/bdd.js";
import { OutOfTime, type Search } from "../machine/symbolic/search.js";
import { Space } from "../machine/symbolic/space.js";
import { type Path, shortestPath } from "../machine/symbolic/trace.js";
import type { Transitions } from "../machine/transitions.js";
import type { Verdict } from "../program/verdict.js";
import type { Context } from "./context.js";
import { type Hurdle, learnedOf, learnFrom, learnHurdles, learnTrunk, RESERVE, sharedSpace } from "./learned.js";
import { lift } from "./lift.js";
import { guiltyOf, isByGauge, placeAfter } from "./path.js";
import {
  comesSo,
  firstSlice,
  goalOf,
  type How,
  isBroken,
  looksSo,
  orderFor,
  type Query,
  runToBreach,
  searchIn,
  wholeOf,
} from "./query.js";

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
  /** A search of that slice for the same question, gone through to the end, where there was one. */
  readonly near?: Search;
  /** The same of the whole, where it was needed. */
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
    for (const slice of [near, wholeOf(context, query)])
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
  if (!shortest) return { verdict: "unproved" };
  const search = searchIn(context, query, wholeOf(context, query));
  const lifted = lift(search, query, shortest.path);
  if (!("path" in lifted)) return { verdict: "unproved" };
  return { verdict: "violated", search, path: lifted.path, relevant: shortest.relevant };
}

/** Start positions of a handle that are still asked for one by one. */
const MOST_CASES = 6;

/**
 * Looks for a way to the goal in a slice of the model: the variables that the question depends on, at first without the
 * clocks of delayed changes. What a slice leaves out only adds paths, so "none" is an answer. The shortest path found is
 * an answer if the whole model can go the same way; else the slice grows by what stood in the way there, until it is hardly smaller
 * than the whole (Clarke, Grumberg, Jha, Lu and Veith 2000). Undefined where the nodes run out.
 */
function askOnce(context: Context, query: Query, how: How, first?: Search): Answer | undefined {
  try {
    let slice = firstSlice(context, query);
    const quick = runToBreach(first ?? searchIn(context, query, slice, how), query);
    if (!isBroken(quick, query)) return holds(quick, how);
    const whole = singleWays(context, query, how);
    const known = withKnown(context, slice, rankOfBreak(quick, query));
    const isKnown = known.size > slice.size && isWorthwhile(known, whole);
    if (isKnown) slice = known;
    for (let search = isKnown ? undefined : quick.anew(); ; search = undefined) {
      const near = (search ?? searchIn(context, query, slice, how)).run();
      if (!isBroken(near, query)) return holds(near, how);
      const path = shortestIn(context, query, near, near);
      if (!path) break;
      const lifted = lift(whole, query, path, near);
      if ("path" in lifted) {
        learnTrunk(context, lifted.path.steps);
        return { verdict: "violated", search: whole, path: lifted.path, relevant: slice, near };
      }
      if (look(context)) continue;
      const grown = grownBy(context, slice, lifted.hurdles, rankOf(near, path));
      if (!grown || !isWorthwhile(grown, whole)) break;
      slice = grown;
    }
    return askWhole(context, query, how, slice);
  } catch (error) {
    if (error instanceof NodeLimit) return undefined;
    throw error;
  }
}

/** Is a slice so much smaller than the whole that it is worth asking first? */
export function isWorthwhile(slice: ReadonlySet<Variable>, { transitions }: Search): boolean {
  return slice.size * WORTHWHILE <= transitions.slice!.size;
}

const WORTHWHILE = 1.5;

function holds({ transitions }: Search, how: How): Holds {
  return { verdict: "holds", ...(how.given ? {} : { among: transitions }) };
}

/** A search that leaves nothing out, in which single ways are gone; it is not to be run. */
export function singleWays(context: Context, query: Pick<Query, "monitors" | "names">, how: How = {}): Search {
  const make = (transitions: Transitions) => {
    if (how.given || how.isDeclaredOrder) return undefined;
    const shared = sharedSpace(context, transitions);
    if (shared || context.limits.nodes !== undefined) return shared;
    const made = new Space(orderFor(context, query, transitions.slice!), transitions.settling, undefined, RESERVE);
    learnedOf(context).spaces.add(made);
    return made;
  };
  return searchIn(context, query, wholeOf(context, query), how, make);
}

/** True where a search was made that nobody had made yet: which edges anything comes by. Where that takes too many nodes, any may be. */
function look(context: Context): boolean {
  const learned = learnedOf(context);
  if (learned.ways) return false;
  try {
    learnFrom(context, searchIn(context, { monitors: [], names: [] }, context.whole).run());
    return true;
  } catch (error) {
    if (!(error instanceof NodeLimit)) throw error;
    learned.ways = waysAlong(context.model.graph.edges);
    return false;
  }
}

/** The slice with what stood in the way, and what has stood in the way of others up to there; undefined where that is no more. */
export function grownBy(
  context: Context,
  slice: ReadonlySet<Variable>,
  hurdles: readonly Hurdle[],
  rank: number,
): ReadonlySet<Variable> | undefined {
  learnHurdles(context, hurdles);
  const wider = coneOf(context.timeless, [...slice, ...hurdles.flatMap(({ variables }) => variables)]);
  const grown = withKnown(context, wider, rank);
  return grown.size > slice.size ? grown : undefined;
}

/** The slice with all that is known to stand in the way of some up to a place of that rank. */
function withKnown(context: Context, slice: ReadonlySet<Variable>, rank: number): ReadonlySet<Variable> {
  const known = learnedOf(context).hurdles.filter((one) => one.rank <= rank);
  return coneOf(context.timeless, [...slice, ...known.flatMap(({ variables }) => variables)]);
}

/** The lowest rank of a place at which a search found a break. */
function rankOfBreak(search: Search, query: Query): number {
  const { ranks } = search.transitions.model.graph;
  const breaches = search.breaches.map(({ from }) => from.id);
  const places = [...query.atPlace].filter(([id, wrong]) => comesSo(search, id, wrong)).map(([id]) => id);
  const looked = [...(query.atEdges ?? [])].filter(([edge, wrong]) => looksSo(search, edge, wrong));
  const edges = looked.map(([{ from }]) => from.id);
  return Math.min(...[...breaches, ...places, ...edges].map((id) => ranks[id]!));
}

function rankOf(search: Search, path: Path): number {
  return search.transitions.model.graph.ranks[placeAfter(search, path).id]!;
}

/** The shortest path in a search; of equals the first in the text. The scout has been run to its end. */
function shortestIn(context: Context, query: Query, search: Search, scout: Search): Path | undefined {
  const inText = (path: Path) => context.textOrder.get(guiltyOf(search, path)?.name ?? "") ?? -1;
  return shortestPath(search, goalOf(search, query), inText, { search: scout, goal: goalOf(scout, query) });
}

/** The answer in the whole model, with the shortest path. */
function askWhole(context: Context, query: Query, how: How, slice: ReadonlySet<Variable>): Answer {
  const search = searchIn(context, query, wholeOf(context, query), how).run();
  if (!isBroken(search, query)) return holds(search, how);
  const near = searchIn(context, query, slice, how).run();
  const path = shortestIn(context, query, search, near);
  return path
    ? { verdict: "violated", search, path, relevant: slice, near, explored: search }
    : { verdict: "unproved" };
}
