import type { Variable } from "../machine/expression.js";
import { type Ways, waysAlong } from "../machine/graph/reach.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Space } from "../machine/symbolic/space.js";
import type { PathStep } from "../machine/symbolic/trace.js";
import type { Transitions } from "../machine/transitions.js";
import type { Context } from "./context.js";

/** What earlier questions about one procedure on one tail have taught for those to come. */
export interface Learned {
  /** The edges by which anything comes anywhere, whatever is asked; absent as long as nobody looked. */
  ways?: Ways;
  /** What stood in the way of a slice's way in the whole. */
  readonly hurdles: Hurdle[];
  /** The transitions of the whole with no monitors. */
  plain?: Transitions;
  /** Ways that could be gone in the whole, the last first. */
  readonly trunks: (readonly PathStep[])[];
  /** Where single ways through the whole are gone, one question after the other. */
  readonly spaces: Set<Space>;
}

/** Variables that decide whether a way can be gone, at the latest at a place of that rank. */
export interface Hurdle {
  readonly variables: readonly Variable[];
  readonly rank: number;
}

const learned = new WeakMap<Context, Learned>();

export function learnedOf(context: Context): Learned {
  const known = learned.get(context) ?? { hurdles: [], trunks: [], spaces: new Set<Space>() };
  learned.set(context, known);
  return known;
}

/** Lets go of what takes room; to be called when all is asked of a context that is kept. */
export function forgetLearned(context: Context): void {
  learned.delete(context);
}

/** Takes note of a search that leaves nothing out, asks nothing, and has been run to its end. */
export function learnFrom(context: Context, search: Search): void {
  learnedOf(context).ways = waysAlong(context.model.graph.edges.filter((edge) => search.taken.has(edge)));
}

/** Takes note of what stood in the way. */
export function learnHurdles(context: Context, more: readonly Hurdle[]): void {
  const { hurdles } = learnedOf(context);
  const isKnown = ({ variables, rank }: Hurdle) =>
    hurdles.some((one) => one.rank <= rank && variables.every((variable) => one.variables.includes(variable)));
  for (const hurdle of more) if (!isKnown(hurdle)) hurdles.push(hurdle);
}

/** Takes note of a way that could be gone in the whole. */
export function learnTrunk(context: Context, steps: readonly PathStep[]): void {
  const { trunks } = learnedOf(context);
  trunks.unshift(steps);
  trunks.length = Math.min(trunks.length, MOST_TRUNKS);
}

const MOST_TRUNKS = 6;

/** Nodes up to which a space is used again. Nothing in it is ever collected, and what is large is slow to look things up in. */
const ROOM = 20_000;

/** Variables that later questions may add to a space. */
export const RESERVE = 64;

/** The space of an earlier question, where these transitions can be carried out in it; undefined where they need one of their own. */
export function sharedSpace(context: Context, { settling, slice }: Transitions): Space | undefined {
  if (!slice || context.limits.nodes !== undefined) return undefined;
  const { spaces } = learnedOf(context);
  for (const space of spaces) {
    const { choices } = space.settling;
    const isSame = settling.choices.length === choices.length && settling.choices.every((one) => choices.includes(one));
    if (!isSame) continue;
    if (space.bdd.size < ROOM && space.admit([...slice])) return space;
    spaces.delete(space);
  }
  return undefined;
}
