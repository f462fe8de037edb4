import type { Node } from "../machine/graph/graph.js";
import { groupedBy } from "../machine/graph/reach.js";
import { EMPTY, NodeLimit, type Ref } from "../machine/symbolic/bdd.js";
import type { Factored } from "../machine/symbolic/factored.js";
import { OutOfTime, type Search } from "../machine/symbolic/search.js";
import type { PathStep } from "../machine/symbolic/trace.js";
import { wayTo } from "../machine/symbolic/trail.js";
import type { Transition } from "../machine/transitions.js";
import type { Step } from "../program/procedure.js";
import { grownBy, isWorthwhile, type Violated } from "./answer.js";
import type { Context } from "./context.js";
import { type Hurdle, learnedOf, learnTrunk } from "./learned.js";
import { goAlong, hurdlesOn, startsOf } from "./lift.js";
import { lastActsOf, placeOf } from "./path.js";
import { comesSo, type Query, searchIn, wholeOf } from "./query.js";

/** The steps at which a question can be answered with "wrong" first, in the whole model. */
export interface Wrongdoers {
  /** Those whose own act does it. */
  readonly acts: readonly Step[];
  /** Those in whose pause it can come about, or after which the run can end so. */
  readonly others: readonly Step[];
}

/** Where it can go wrong first, and who is then to blame. */
interface Site {
  /** An act or a change there; absent where it is the place itself that is wrong. */
  readonly breach?: Transition;
  readonly place: Node;
  readonly isAct: boolean;
  readonly steps: readonly Step[];
}

/**
 * Who can be to blame. The slice in which the way was found names all of them at least; each that it names beside the one to blame has to
 * have a way in the whole. Nobody where the limit comes first: they are only told beside the answer.
 */
export function wrongdoers(context: Context, query: Query, answer: Violated, blamed: Step | undefined): Wrongdoers {
  try {
    const near = answer.near ?? searchIn(context, query, answer.relevant).run();
    const sites = sitesIn(query, near);
    const isOpen = ({ steps }: Site) => steps.some((step) => step !== blamed);
    if (!sites.some(isOpen)) return wrongdoersAt(sites);
    if (answer.explored) return wrongdoersAt(sitesIn(query, answer.explored));
    const proved = sites.filter((site) => !isOpen(site));
    const found = provedSites(context, query, answer, near, sites.filter(isOpen));
    return wrongdoersAt(found ? [...proved, ...found] : sitesIn(query, wholeRun(context, query)));
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { acts: [], others: [] };
    throw error;
  }
}

function wholeRun(context: Context, query: Query): Search {
  return searchIn(context, query, wholeOf(context, query)).run();
}

/**
 * Those of the sites to which a way leads in the whole; undefined where slices cannot tell. The last in the text is looked for first: on
 * the way to it lie many of the others.
 */
function provedSites(
  context: Context,
  query: Query,
  { search: whole, path: gone, relevant }: Violated,
  first: Search,
  sites: readonly Site[],
): readonly Site[] | undefined {
  const { ranks } = context.model.graph;
  const sitesAt = groupedBy(sites, ({ place }) => place);
  const told = new Told();
  const passBy = (place: Node, states: Factored) => {
    for (const site of sitesAt.get(place) ?? [])
      if (!told.has(site) && goesWrong(whole, query, site, states)) told.add(site);
  };
  for (const [index, { from }] of gone.steps.entries()) if (gone.passed) passBy(from, gone.passed[index]!);
  for (const trunk of learnedOf(context).trunks) {
    if (trunk === gone.steps) continue;
    const isAsked = (step: PathStep) => sitesAt.get(placeOf(step))?.some((site) => !told.has(site));
    const last = trunk.findLastIndex(isAsked);
    if (last >= 0) goAlong(whole, trunk, passBy, last + 1);
  }
  const groups = [...bySteps(sites)].sort((a, b) => ranks[a[0]!.place.id]! - ranks[b[0]!.place.id]!);
  let [near, slice, ways] = [first, relevant, 0];
  for (let group = groups.at(-1); group; group = groups.at(-1)) {
    const way = told.has(group[0]!) ? undefined : wayToOne(query, near, group);
    if (way) goAlong(whole, way.steps, passBy);
    if (way && told.has(group[0]!)) learnTrunk(context, way.steps);
    if (!way || told.has(group[0]!)) {
      groups.pop();
      continue;
    }
    const grown = grownBy(context, slice, hurdlesTo(whole, way, near), ranks[group[0]!.place.id]!);
    if (!grown || !isWorthwhile(grown, whole) || ++ways > MOST_WAYS) return undefined;
    slice = grown;
    near = searchIn(context, query, slice).run();
  }
  return told.sites;
}

/** So many hurdles, and it takes less to search the whole. */
const MOST_WAYS = 8;

/** A way, and what is wrong at its end. */
interface WrongWay {
  readonly steps: readonly PathStep[];
  readonly asked: Ref;
}

function wayToOne(query: Query, near: Search, sites: readonly Site[]): WrongWay | undefined {
  for (const site of sites) {
    const asked = wrongAt(query, near, site);
    const steps = asked === EMPTY ? undefined : wayTo(near, site.place, asked);
    if (steps) return { steps, asked };
  }
  return undefined;
}

function hurdlesTo(whole: Search, { steps, asked }: WrongWay, near: Search): readonly Hurdle[] {
  const [starts] = near.setsAlong(steps, asked, false)!;
  return hurdlesOn(whole, { steps, endsAtMoment: false }, startsOf(whole, starts!, near));
}

/** Can it go wrong there with one of these states? */
function goesWrong({ space, transitions }: Search, query: Query, { breach, place }: Site, states: Factored): boolean {
  const { factoring } = space;
  if (!breach) return factoring.meets(states, space.set(query.atPlace.get(place.id)!));
  const transition = transitions.like(place, breach);
  return factoring.meets(factoring.forward(states, transition.operations), space.set(transition.broken));
}

/** Sites with the same to blame, together: it is all one which of them a way leads to. */
function bySteps(sites: readonly Site[]): Iterable<readonly Site[]> {
  return groupedBy(sites, ({ isAct, steps }) => `${isAct} ${steps.map(({ name }) => name).join(" ")}`).values();
}

/** Sites that are proved, with those to blame at them. */
class Told {
  readonly sites: Site[] = [];
  private readonly acting = new Set<Step>();
  private readonly other = new Set<Step>();

  /** Are all that are to blame at the site told already? */
  has({ isAct, steps }: Site): boolean {
    const told = isAct ? this.acting : this.other;
    return steps.every((step) => told.has(step));
  }

  add(site: Site): void {
    this.sites.push(site);
    for (const step of site.steps) (site.isAct ? this.acting : this.other).add(step);
  }
}

/** The states at the place of a site with which it can go wrong there. */
function wrongAt(query: Query, near: Search, { breach, place }: Site): Ref {
  const { space, transitions } = near;
  if (!breach) return space.set(query.atPlace.get(place.id)!);
  const transition = transitions.like(place, breach);
  return space.backwardWithin(space.set(transition.broken), transition.operations, near.reachedAt(place.id));
}

function sitesIn(query: Query, search: Search): readonly Site[] {
  const before = lastActsOf(search);
  const breaches = search.brokenAt().flatMap(({ from, transition }): Site[] => {
    const { cause } = transition;
    const breach = transition;
    if (cause.kind === "change") return [{ breach, place: from, isAct: false, steps: before(from) }];
    return cause.kind === "edge" && cause.edge.step
      ? [{ breach, place: from, isAct: true, steps: [cause.edge.step] }]
      : [];
  });
  const ends = search.transitions.model.graph.nodes.flatMap((place): Site[] => {
    const wrong = query.atPlace.get(place.id);
    if (!wrong || !comesSo(search, place.id, wrong)) return [];
    const { end } = place;
    return [{ place, isAct: false, steps: end && end.kind !== "finish" ? [end.step] : before(place) }];
  });
  return [...breaches, ...ends];
}

function wrongdoersAt(sites: readonly Site[]): Wrongdoers {
  const stepsOf = (isAct: boolean) => [
    ...new Set(sites.filter((site) => site.isAct === isAct).flatMap(({ steps }) => steps)),
  ];
  return { acts: stepsOf(true), others: stepsOf(false) };
}
