import { type Finding, type FindingKind, finding, type StoryLine } from "../../diagnostics/finding.js";
import { type Expression, variablesOf } from "../../machine/expression.js";
import type { Edge, Node } from "../../machine/graph/graph.js";
import { coneOf } from "../../machine/slice.js";
import { EMPTY, FULL, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import { type Path, shortestPath } from "../../machine/symbolic/trace.js";
import type { Procedure, Step } from "../../program/procedure.js";
import { ask } from "../answer.js";
import type { Context } from "../context.js";
import { UNPROVED } from "../kinds.js";
import { blameOf } from "../path.js";
import type { Query } from "../query.js";
import { storyOf } from "../story.js";

export interface Telling {
  readonly kind: FindingKind;
  /** Where the caret is; absent: the procedure itself. */
  readonly step: Step | undefined;
  readonly message: string;
  readonly more?: Partial<Omit<Finding, "code" | "at" | "message" | "story" | "moments">>;
  readonly thing?: string;
  /** What goes wrong: only what it depends on is worth a line. Absent: everything is. */
  readonly about?: Expression;
  /** The last line of the story, where what goes wrong comes after the last moment. */
  readonly ending?: StoryLine;
}

/** States that are wrong: at places, or at the moments of edges. */
export interface Wrong {
  readonly atPlace?: ReadonlyMap<number, Ref>;
  readonly atEdges?: ReadonlyMap<Edge, Ref>;
  /** The same in so many words, where they say it all: the way there is then looked for in slices. */
  readonly asked?: Pick<Query, "names"> & Partial<Query>;
}

/** A finding with the shortest story to the wrong states; undefined where none is wrong. Unconfirmed: unproved. */
export function tell(context: Context, whole: Search, wrong: Wrong, telling: Telling): Finding | undefined {
  if (context.limits.verdictsOnly) return untold(context, whole, wrong, telling);
  const way = (wrong.asked && wayInSlices(context, wrong.asked)) ?? wayInWhole(context, whole, wrong);
  if (!way) return undefined;
  const { search, path } = way;
  const target = search.space.factoring.plain(path.sets.at(-1)!);
  const story = storyOf(search, path, {
    isWrong: (state) => search.space.contains(target, state),
    relevant: telling.about ? coneOf(context.influences, variablesOf(telling.about)) : context.whole,
    ...(telling.ending ? { ending: telling.ending } : {}),
  });
  const at = atOf(context, telling);
  const subject = subjectOf(context, telling);
  if (!story)
    return finding(
      UNPROVED,
      at,
      `unproved: ${telling.message}, by a path that a run on single values does not confirm`,
      { subject },
    );
  return finding(telling.kind, at, telling.message, {
    subject,
    ...telling.more,
    story: story.lines,
    moments: path.moments,
  });
}

interface Way {
  readonly search: Search;
  readonly path: Path;
}

function wayInSlices(context: Context, asked: NonNullable<Wrong["asked"]>): Way | undefined {
  const answer = ask(context, { monitors: [], atPlace: new Map(), ...asked });
  return answer.verdict === "violated" ? answer : undefined;
}

function wayInWhole(context: Context, search: Search, wrong: Wrong): Way | undefined {
  const goal = { atPlace: wrong.atPlace ?? new Map(), ...(wrong.atEdges ? { atEdges: wrong.atEdges } : {}) };
  const order = (path: Path) => context.textOrder.get(blameOf(path)?.name ?? "") ?? -1;
  const path = shortestPath(search, goal, order, { search, goal });
  return path && { search, path };
}

function atOf({ procedure }: Context, { step }: Telling): Finding["at"] {
  return step?.verb ?? procedure.span;
}

function subjectOf({ procedure }: Context, { step, thing }: Telling): Finding["subject"] {
  return { procedure: procedure.id, ...(step ? { step: step.name } : {}), ...(thing ? { thing } : {}) };
}

/** The finding alone, if the wrong states can be come to: the search leaves nothing out. */
function untold(context: Context, search: Search, wrong: Wrong, telling: Telling): Finding | undefined {
  const { bdd } = search.space;
  const atPlace = [...(wrong.atPlace ?? [])];
  const isMet =
    atPlace.some(([id, states]) => bdd.meets(search.reachedAt(id), states)) ||
    [...(wrong.atEdges ?? [])].some(([edge, states]) => bdd.meets(search.momentsOf(edge), states));
  if (!isMet) return undefined;
  const subject = subjectOf(context, telling);
  return finding(telling.kind, atOf(context, telling), telling.message, { ...telling.more, subject });
}

/** The states of these places in which something holds, as a goal. */
export function atPlaces(search: Search, nodes: readonly Node[], wrong: (node: Node) => Ref): ReadonlyMap<number, Ref> {
  const { bdd } = search.space;
  const found = new Map<number, Ref>();
  for (const node of nodes) {
    const states = bdd.and(search.reachedAt(node.id), wrong(node));
    if (states !== EMPTY) found.set(node.id, states);
  }
  return found;
}

/** States of a place in which an act can be done: no change has to come first. */
export function ready(search: Search): Ref {
  return search.space.forward(FULL, search.transitions.untilReady);
}

export function unprovedWhole(procedure: Procedure): Finding {
  const message = `\`${procedure.id}\` is unproved beyond its rules: the limit came first`;
  return finding(UNPROVED, procedure.span, message, {
    help: ["give it more time with --time-limit, or a smaller model"],
    subject: { procedure: procedure.id },
  });
}
