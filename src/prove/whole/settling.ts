import { type Finding, finding, type StoryLine } from "../../diagnostics/finding.js";
import { type Variable, variablesOf } from "../../machine/expression.js";
import type { Node } from "../../machine/graph/graph.js";
import { groupedBy } from "../../machine/graph/reach.js";
import type { Operation, Settling } from "../../machine/operation.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import { type Path, shortestPath } from "../../machine/symbolic/trace.js";
import type { Transition } from "../../machine/transitions.js";
import type { Immediate } from "../../machine/world/dynamics.js";
import type { Step } from "../../program/procedure.js";
import type { Context } from "../context.js";
import { SYSTEM_CONFLICT, SYSTEM_RACE, SYSTEM_UNSETTLED } from "../kinds.js";
import { blameOf, lastActsOf, placeAfter } from "../path.js";
import { storyOf } from "../story.js";
import { nameOf, stepName } from "../words.js";

/** A transition after which equipment changes at once, with the states before the first round. */
interface Unsettling {
  readonly transition: Transition;
  /** The operations up to settling. */
  readonly lead: readonly Operation[];
  readonly states: Ref;
}

/** Does the equipment settle, always, and in one way only? */
export function proveSettling(context: Context, search: Search): readonly Finding[] {
  const unsettling = unsettlingOf(search);
  const all = unsettling.reduce((sum, one) => search.space.bdd.or(sum, one.states), EMPTY);
  if (all === EMPTY) return [];
  const { visited, endless } = rounds(search, all);
  const racing = raceOrigins(context, search, all);
  return [
    ...conflicts(context, search, unsettling, visited),
    ...(endless ? [wholeFinding(context, search, unsettling, endlessFrom(search, unsettling), UNSETTLED)] : []),
    ...(racing === EMPTY ? [] : [wholeFinding(context, search, unsettling, racing, RACE)]),
  ].filter((one) => one !== undefined);
}

function unsettlingOf(search: Search): readonly Unsettling[] {
  return [...search.moving()].map(([transition, states]) => {
    const at = transition.operations.findIndex((operation) => operation.kind === "settle");
    return { transition, lead: transition.operations.slice(0, at), states: forgetScratch(search, transition, states) };
  });
}

/** What was remembered only for the step. */
function forgetScratch(search: Search, { rest }: Transition, states: Ref): Ref {
  return search.space.forward(
    states,
    rest.filter((operation) => operation.kind === "forget"),
  );
}

function immediateOf(context: Context): readonly Immediate[] {
  return context.model.dynamics.immediate.filter((piece) => context.whole.has(piece.variable));
}

/** All states that rounds go through, and whether some go round for ever. */
export function rounds(search: Search, states: Ref): { readonly visited: Ref; readonly endless: boolean } {
  const { space } = search;
  const seen = new Set<Ref>();
  let visited = states;
  let moving = states;
  while (moving !== EMPTY && !seen.has(moving)) {
    seen.add(moving);
    moving = space.bdd.diff(space.round(moving), space.settled);
    visited = space.bdd.or(visited, moving);
  }
  return { visited, endless: moving !== EMPTY };
}

/** Transitions after which one settling takes place, and the states before it from which its rounds never end. */
interface Restless {
  readonly unsettling: readonly Unsettling[];
  readonly origins: Ref;
}

function neverSettling({ space }: Search, unsettling: readonly Unsettling[]): readonly Restless[] {
  const { bdd, factoring } = space;
  return [...groupedBy(unsettling, ({ transition }) => amongOf(transition))].flatMap(([among, alike]) => {
    const all = alike.reduce((sum, one) => bdd.or(sum, one.states), EMPTY);
    const from = factoring.of(all);
    if (factoring.restless(from, among).core === EMPTY) return [];
    const settle: Operation = { kind: "settle", ...(among ? { among } : {}) };
    const rest = factoring.forwardOne(from, settle);
    const settling = factoring.back(rest, settle, from, rest)!;
    return [{ unsettling: alike, origins: bdd.diff(all, factoring.plain(settling)) }];
  });
}

function endlessFrom(search: Search, unsettling: readonly Unsettling[]): Ref {
  return neverSettling(search, unsettling).reduce((sum, { origins }) => search.space.bdd.or(sum, origins), EMPTY);
}

interface Told {
  readonly kind: typeof SYSTEM_RACE;
  readonly message: (step: string, names: string) => string;
  readonly ending: (names: string) => string;
  readonly help: string;
}

const UNSETTLED: Told = {
  kind: SYSTEM_UNSETTLED,
  message: (step, names) => `from ${step} on the equipment can change for ever and never come to rest: ${names}`,
  ending: (names) => `${names}: round and round`,
  help: "give one of the changes a time (`takes`), or a condition that ends it",
};

const RACE: Told = {
  kind: SYSTEM_RACE,
  message: (step, names) => `where the equipment settles after ${step} depends on which changes first: ${names}`,
  ending: () => "whichever changes first decides the rest",
  help: "make the conditions of the changes exclude each other, or give the later one a time (`takes`)",
};

function wholeFinding(
  context: Context,
  search: Search,
  unsettling: readonly Unsettling[],
  origins: Ref,
  told: Told,
): Finding | undefined {
  const found = firstStep(context, search, unsettling, origins);
  if (!found) return undefined;
  const { system } = context.model.world;
  const names = moving(context, search, origins)
    .map((piece) => nameOf(system, piece))
    .join(", ");
  const step = found.step ? stepName(found.step) : "the start";
  return finding(told.kind, found.step?.verb ?? context.procedure.span, told.message(step, names), {
    help: [told.help],
    labels: moving(context, search, origins).flatMap((piece) => {
      const equipment = system.equipment.get(piece);
      return equipment ? [{ at: equipment.span, text: "one of those that change" }] : [];
    }),
    ...storyPart(found, told.ending(names)),
    subject: { procedure: context.procedure.id, ...(found.step ? { step: found.step.name } : {}) },
  });
}

function storyPart(found: Found | undefined, what: string): Pick<Finding, "story" | "moments" | "also"> {
  const lines = found?.story?.(what);
  const { moments, also } = found ?? {};
  return { ...(lines ? { story: lines } : {}), ...(moments ? { moments } : {}), ...(also ? { also } : {}) };
}

/** Equipment that can change on the way from these states. */
function moving(context: Context, search: Search, origins: Ref): readonly string[] {
  const { space } = search;
  const { visited } = rounds(search, origins);
  return immediateOf(context).flatMap((piece) => {
    const fires = piece.choice.some((one) => space.bdd.meets(visited, space.set(one.when)));
    return fires && piece.equipment ? [piece.equipment.id] : [];
  });
}

interface Found {
  readonly step: Step | undefined;
  /** How it is come to; the last line says what happens then. */
  readonly story?: (what: string) => readonly StoryLine[] | undefined;
  readonly moments?: number;
  /** Names of the other steps that can bring such a state about. */
  readonly also?: readonly string[];
}

/** For each transition the states ahead of it from which it leads to such a state before settling. */
function beforeAct(search: Search, unsettling: readonly Unsettling[], origins: Ref): ReadonlyMap<Transition, Ref> {
  const { space } = search;
  const guilty = unsettling.filter((one) => space.bdd.meets(one.states, origins));
  return new Map(guilty.map(({ transition, lead }) => [transition, space.backward(origins, lead)]));
}

function placesBefore(search: Search, before: ReadonlyMap<Transition, Ref>): Map<number, Ref> {
  const { space, transitions } = search;
  const atPlace = new Map<number, Ref>();
  for (const node of transitions.model.graph.nodes) {
    const ways = [...search.edgesFrom(node).map((edge) => transitions.of(edge)), ...transitions.pausesAt(node)];
    const states = ways.reduce((sum, way) => space.bdd.or(sum, before.get(way) ?? EMPTY), EMPTY);
    const met = space.bdd.and(states, search.reachedAt(node.id));
    if (met !== EMPTY) atPlace.set(node.id, met);
  }
  return atPlace;
}

/** States at places from which an act or a change leads to where the equipment never comes to rest. */
export function neverSettlingAt(search: Search): ReadonlyMap<number, Ref> {
  const before = neverSettling(search, unsettlingOf(search)).flatMap(({ unsettling, origins }) => [
    ...beforeAct(search, unsettling, origins),
  ]);
  return placesBefore(search, new Map(before));
}

/** What a transition's settling looks at; absent: all of it. */
export function amongOf({ operations, settlesAt }: Transition): Settling | undefined {
  const settle = settlesAt === undefined ? undefined : operations[settlesAt];
  return settle?.kind === "settle" ? settle.among : undefined;
}

/** The step that first brings such a state about. */
function firstStep(
  context: Context,
  search: Search,
  unsettling: readonly Unsettling[],
  origins: Ref,
): Found | undefined {
  const { space } = search;
  const before = beforeAct(search, unsettling, origins);
  if (before.size === 0) return undefined;
  const atPlace = placesBefore(search, before);
  const order = (step: Step | undefined) => context.textOrder.get(step?.name ?? "") ?? -1;
  const stepsAfter = (path: Path): readonly (Step | undefined)[] => {
    const place = placeAfter(search, path);
    const bad = [
      ...search.transitions.pausesAt(place),
      ...search.edgesFrom(place).map((edge) => search.transitions.of(edge)),
    ].filter((way) => space.factoring.meets(path.sets.at(-1)!, before.get(way) ?? EMPTY));
    const steps = bad.map(({ cause }) => (cause.kind === "edge" ? cause.edge.step : blameOf(path)));
    return steps.sort((one, other) => order(one) - order(other));
  };
  const path = shortestPath(search, { atPlace }, (path) => order(stepsAfter(path)[0]));
  if (!path) return { step: undefined };
  const step = stepsAfter(path)[0];
  const last = search.space.factoring.plain(path.sets.at(-1)!);
  const story = (what: string) =>
    storyOf(search, path, {
      isWrong: (state) => space.contains(last, state),
      relevant: context.whole,
      ending: step ? { when: stepName(step), what, at: step.verb } : { when: "then", what },
    })?.lines;
  const also = bringing(search, before).flatMap((one) => (one === step ? [] : [one.name]));
  return { step, story, moments: path.moments + 1, also };
}

/** The steps whose act brings such a state about, or in whose pause it can come about. */
function bringing(search: Search, before: ReadonlyMap<Transition, Ref>): readonly Step[] {
  const { transitions, space } = search;
  const lastActs = lastActsOf(search);
  const leads = (node: Node, way: Transition) => space.bdd.meets(search.reachedAt(node.id), before.get(way) ?? EMPTY);
  const steps = transitions.model.graph.nodes.flatMap((node) => [
    ...search.edgesFrom(node).flatMap((edge) => (edge.step && leads(node, transitions.of(edge)) ? [edge.step] : [])),
    ...(transitions.pausesAt(node).some((pause) => leads(node, pause)) ? lastActs(node) : []),
  ]);
  return [...new Set(steps)];
}

function conflicts(
  context: Context,
  search: Search,
  unsettling: readonly Unsettling[],
  visited: Ref,
): readonly (Finding | undefined)[] {
  const { space } = search;
  return immediateOf(context).flatMap((piece: Immediate) =>
    piece.conflicts.flatMap(({ first, second, when }) => {
      if (!piece.equipment || !space.bdd.meets(visited, space.set(when))) return [];
      const origins = originsInto(search, unsettling, space.set(when));
      const found = firstStep(context, search, unsettling, origins);
      const name = nameOf(context.model.world.system, piece.equipment.id);
      const message = `${name} can change to ${first.to} and to ${second.to} at once: the one written first comes`;
      return [
        finding(SYSTEM_CONFLICT, found?.step?.verb ?? context.procedure.span, message, {
          labels: [
            { at: first.span, text: "written first" },
            { at: second.span, text: "could come as well" },
          ],
          help: ["let the conditions of the two changes exclude each other"],
          ...storyPart(found, `${name} can go to ${first.to} and to ${second.to}`),
          subject: {
            procedure: context.procedure.id,
            thing: piece.equipment.id,
            ...(found?.step ? { step: found.step.name } : {}),
          },
        }),
      ];
    }),
  );
}

/** States before settling whose rounds come through the target. */
function originsInto(search: Search, unsettling: readonly Unsettling[], target: Ref): Ref {
  const { space } = search;
  const { bdd } = space;
  const all = unsettling.reduce((sum, one) => bdd.or(sum, one.states), EMPTY);
  const { visited } = rounds(search, all);
  let into = bdd.and(target, visited);
  for (let fresh = into; fresh !== EMPTY; ) {
    fresh = bdd.diff(bdd.and(space.beforeRoundOf(fresh), visited), into);
    into = bdd.or(into, fresh);
  }
  return bdd.and(into, all);
}

/** States before settling from which single changes, in some order, settle elsewhere than the rounds do, or never. */
function raceOrigins(context: Context, search: Search, all: Ref): Ref {
  const { space } = search;
  const { bdd } = space;
  const pieces = immediateOf(context).map((piece) => ({
    piece,
    origin: context.model.world.find(`origin of ${piece.variable.name}`)!,
  }));
  if (pieces.length < 2 || areIndifferent(context, search, all)) return EMPTY;
  const remember: readonly Operation[] = pieces.map(({ piece, origin }) => ({
    kind: "copy",
    variable: origin,
    of: piece.variable,
  }));
  const from = space.forward(all, remember);
  const settledByRounds = space.forward(from, [{ kind: "settle" }]);
  let closure = from;
  for (let fresh = from; fresh !== EMPTY; ) {
    const next = pieces.reduce((sum, { piece }) => bdd.or(sum, fireOne(search, piece, fresh)), EMPTY);
    fresh = bdd.diff(next, closure);
    closure = bdd.or(closure, fresh);
  }
  let endless = bdd.diff(closure, space.settled);
  for (let previous = -1; previous !== endless; ) {
    previous = endless;
    const stays = pieces.reduce((sum, { piece }) => bdd.or(sum, beforeFireOne(search, piece, endless)), EMPTY);
    endless = bdd.and(endless, stays);
  }
  const elsewhere = bdd.or(bdd.diff(bdd.and(closure, space.settled), settledByRounds), endless);
  const variables: readonly Variable[] = pieces.map(({ piece }) => piece.variable);
  const racing = space.forget(elsewhere, variables);
  const back: readonly Operation[] = pieces.flatMap(({ piece, origin }): readonly Operation[] => [
    { kind: "copy", variable: piece.variable, of: origin },
  ]);
  const origins = space.forget(
    space.forward(racing, back),
    pieces.map(({ origin }) => origin),
  );
  const settles = space.backward(space.settled, [{ kind: "settle" }]);
  return bdd.and(bdd.and(origins, all), settles);
}

/**
 * Does the order never matter? So it is where any two pieces that can change in one state leave each other's conditions alone:
 * what is confluent step by step, and comes to rest, comes to rest in one way (Newman 1942).
 */
function areIndifferent(context: Context, search: Search, all: Ref): boolean {
  const { bdd } = search.space;
  const pieces = immediateOf(context);
  let closure = all;
  for (let fresh = all; fresh !== EMPTY; ) {
    const next = pieces.reduce((sum, piece) => bdd.or(sum, fireOne(search, piece, fresh)), EMPTY);
    fresh = bdd.diff(next, closure);
    closure = bdd.or(closure, fresh);
  }
  const able = pieces.map((piece) => bdd.and(closure, ableSet(search, piece)));
  return pieces.every((one, index) =>
    pieces
      .slice(index + 1)
      .every(
        (other, place) =>
          !bdd.meets(able[index]!, able[index + 1 + place]!) || (!heeds(one, other) && !heeds(other, one)),
      ),
  );
}

/** Does a condition of the one ask about the other? */
function heeds(one: Immediate, other: Immediate): boolean {
  return one.choice.some(({ when }) => variablesOf(when).has(other.variable));
}

function ableSet(search: Search, piece: Immediate): Ref {
  const { space } = search;
  return piece.choice.reduce((sum, { when }) => space.bdd.or(sum, space.set(when)), EMPTY);
}

function fireOne(search: Search, piece: Immediate, states: Ref): Ref {
  const { space } = search;
  const able = ableSet(search, piece);
  return space.forward(space.bdd.and(states, able), [{ kind: "choose", cases: piece.choice }]);
}

function beforeFireOne(search: Search, piece: Immediate, states: Ref): Ref {
  const { space } = search;
  const able = ableSet(search, piece);
  return space.bdd.and(able, space.backward(states, [{ kind: "choose", cases: piece.choice }]));
}
