import type { Node } from "../machine/graph/graph.js";
import { EMPTY, NodeLimit } from "../machine/symbolic/bdd.js";
import type { Goal } from "../machine/symbolic/goal.js";
import { type Breach, OutOfTime, type Search } from "../machine/symbolic/search.js";
import { pathsToEach } from "../machine/symbolic/trace.js";
import type { Transition } from "../machine/transitions.js";
import type { Step } from "../program/procedure.js";
import { grownBy, isWorthwhile, type Violated } from "./answer.js";
import type { Context } from "./context.js";
import { canLift } from "./lift.js";
import { lastActsOf } from "./path.js";
import { type Query, searchIn, wholeOf } from "./query.js";

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
  readonly breach?: Pick<Breach, "from" | "transition">;
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
    const sites = sitesIn(context, query, near);
    const isOpen = ({ steps }: Site) => steps.some((step) => step !== blamed);
    if (!sites.some(isOpen)) return wrongdoersAt(sites);
    if (answer.explored) return wrongdoersAt(sitesIn(context, query, answer.explored));
    const proved = sites.filter((site) => !isOpen(site));
    const found = provedSites(context, query, answer, near, sites.filter(isOpen));
    return wrongdoersAt(found ? [...proved, ...found] : sitesIn(context, query, wholeRun(context, query)));
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { acts: [], others: [] };
    throw error;
  }
}

function wholeRun(context: Context, query: Query): Search {
  return searchIn(context, query, wholeOf(context, query)).run();
}

/** Those of the sites to which a way leads in the whole; undefined where slices cannot tell. */
function provedSites(
  context: Context,
  query: Query,
  { search: whole, relevant }: Violated,
  first: Search,
  sites: readonly Site[],
): readonly Site[] | undefined {
  const proved: Site[] = [];
  let [near, slice, open] = [first, relevant, bySteps(sites)];
  while (open.length > 0) {
    const wider = new Set(slice);
    const goals = open.map((group) => ({ group, ...goalOfAny(query, near, group) }));
    const left: (readonly Site[])[] = [];
    for (const [{ group }, path] of pathsToEach(near, goals)) {
      if (isTold(group[0]!, wrongdoersAt(proved))) continue;
      const lifted = canLift(whole, query, path, near);
      if (lifted === true) {
        proved.push(group[0]!);
        continue;
      }
      const grown = lifted && grownBy(context, slice, lifted, lifted.rank);
      if (!grown) return undefined;
      for (const variable of grown) wider.add(variable);
      left.push(group);
    }
    if (!isWorthwhile(wider, whole)) return undefined;
    if (left.length > 0) near = searchIn(context, query, wider).run();
    [slice, open] = [wider, left];
  }
  return proved;
}

/** Sites with the same to blame, together: it is all one which of them a way leads to. */
function bySteps(sites: readonly Site[]): readonly (readonly Site[])[] {
  const found = new Map<string, Site[]>();
  for (const site of sites) {
    const key = `${site.isAct} ${site.steps.map(({ name }) => name).join(" ")}`;
    found.set(key, [...(found.get(key) ?? []), site]);
  }
  return [...found.values()];
}

function isTold({ isAct, steps }: Site, { acts, others }: Wrongdoers): boolean {
  return steps.every((step) => (isAct ? acts : others).includes(step));
}

function goalOfAny(query: Query, { space }: Search, sites: readonly Site[]): Goal {
  const breaches = sites.flatMap(({ breach }) => breach ?? []);
  const places = sites.filter(({ breach }) => !breach).map(({ place: { id } }) => id);
  return {
    atPlace: new Map(places.map((id) => [id, space.set(query.atPlace.get(id)!)])),
    atBreach: (transition, from) => breaches.some((breach) => isLike(breach, transition, from)),
  };
}

function isLike(
  { from, transition: { cause } }: Pick<Breach, "from" | "transition">,
  other: Transition,
  at: Node,
): boolean {
  if (cause.kind === "edge") return other.cause.kind === "edge" && other.cause.edge === cause.edge;
  return (
    cause.kind === "change" && other.cause.kind === "change" && other.cause.delayed === cause.delayed && at === from
  );
}

function sitesIn(context: Context, query: Query, search: Search): readonly Site[] {
  const before = lastActsOf(context);
  const breaches = search.breaches.flatMap(({ from, transition }): Site[] => {
    const { cause } = transition;
    const breach = { from, transition };
    if (cause.kind === "change") return [{ breach, place: from, isAct: false, steps: before(from) }];
    return cause.kind === "edge" && cause.edge.step
      ? [{ breach, place: from, isAct: true, steps: [cause.edge.step] }]
      : [];
  });
  const ends = context.model.graph.nodes.flatMap((place): Site[] => {
    const wrong = query.atPlace.get(place.id);
    if (!wrong || search.space.bdd.and(search.reachedAt(place.id), search.space.set(wrong)) === EMPTY) return [];
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
