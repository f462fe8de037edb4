import { unreachable } from "../../invariant.js";
import type { Condition } from "../../program/condition.js";
import type { Move, Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { walkSteps } from "../../program/walk.js";
import { and, type Expression, equals, FALSE, isIn, not, or, TRUE } from "../expression.js";
import { assign, choose, type Operation } from "../operation.js";
import { guardOver, range, thingsNamed, type World } from "../world/world.js";
import type { Edge, End, Graph, Hold, Node } from "./graph.js";
import { interleave, type LaneGraph } from "./lanes.js";
import { emptyParts, newEdge, newNode, type Parts } from "./parts.js";
import { copyUntilActs, nodesFrom, outgoingOf, rankedBy, ranksOf } from "./reach.js";

/** What a step is built into: the graph so far, and where `finish` leads. */
interface Scope {
  readonly world: World;
  readonly program: Program;
  readonly parts: Parts;
  /** Where `finish` goes, and what was held when that run began. */
  readonly finish: Node;
  readonly heldOutside: number;
  /** Watches with an answer that are there on this tail. */
  readonly watches: readonly Of<"watch">[];
  /** Places at which a watch is answered already, with those watches. */
  readonly answered: Map<Node, Set<Step>>;
  /** Places in the answer of a watch, with the watches that are being answered there. */
  readonly answering: Map<Node, readonly Step[]>;
  /** Places of lanes woven together: who works there answers in the lane. */
  readonly woven: Set<Node>;
  /** In a lane the run's end is an edge to a node with `end`; what is held is let go where the lanes are woven together. */
  readonly inLane: boolean;
}

/** A place, or undefined where no path goes on. */
type Place = Node | undefined;

/** The acts of a procedure on one tail, with everything that is to be asked of them. */
export function buildGraph(world: World, program: Program, procedure: Procedure): Graph {
  const parts = emptyParts();
  const start = newNode(parts, { moves: new Set(), holds: [] });
  const finish = newNode(parts, { moves: new Set(), holds: [], end: { kind: "finish" } });
  const watches = [...walkSteps(procedure.steps)].filter(
    (step): step is Of<"watch"> => step.kind === "watch" && step.ifNot.length > 0 && isThere(world, step),
  );
  const scope: Scope = {
    world,
    program,
    parts,
    finish,
    heldOutside: 0,
    watches,
    answered: new Map(),
    answering: new Map(),
    woven: new Set(),
    inLane: false,
  };
  const last = buildSteps(scope, procedure.steps, start);
  if (last) pass(scope, last, finish);
  buildWatches(scope);
  if (procedure.next) handOver(scope, finish, procedure.next.procedure, undefined);
  const outgoing = outgoingOf(parts.edges);
  const ranks = ranksOf(start, parts.nodes.length, outgoing);
  return { ...parts, outgoing, ranks, ranked: rankedBy(ranks, parts.nodes), start, finish };
}

function buildSteps(scope: Scope, steps: readonly Step[], from: Place): Place {
  let at: Place = from;
  for (const step of steps) at = buildStep(scope, step, at);
  return at;
}

function buildStep(scope: Scope, step: Step, from: Place): Place {
  if (!isThere(scope.world, step)) return from;
  const entries = scope.parts.entries;
  if (!entries.has(step)) entries.set(step, []);
  if (!from) return undefined;
  entries.get(step)!.push(from);
  if (!step.needs) return buildVerb(scope, step, from);
  const ready = demand(scope, step, "needs", [step.needs], from);
  if (MADE_OF_OTHERS.has(step.kind)) return buildVerb(scope, step, newPassed(scope, ready));
  const after = buildVerb(scope, step, ready);
  return after === ready ? newPassed(scope, ready) : after;
}

/** Steps without an act of their own at the beginning: what they need is asked ahead of the pause before their first step. */
const MADE_OF_OTHERS: ReadonlySet<Step["kind"]> = new Set([
  "section",
  "memory",
  "perform",
  "repeat",
  "choose",
  "together",
]);

/** False for a step that is left out on this tail: by `applies`, or because what it works on is not fitted. */
function isThere(world: World, step: Step): boolean {
  if (step.applies && !world.fitHolds(step.applies)) return false;
  switch (step.kind) {
    case "set":
    case "verify":
    case "press":
    case "hold":
      return step.moves.some((move) => fittedControls(world, move).length > 0);
    case "observe":
      return step.lights.some((light) => world.isFitted(light));
    case "record":
      return world.isFitted(step.gauge);
    case "ask":
      return world.isFitted(step.outside);
    default:
      return true;
  }
}

function fittedControls(world: World, move: Move): readonly string[] {
  return move.controls.filter((control) => world.isFitted(control));
}

function buildVerb(scope: Scope, step: Step, from: Node): Place {
  switch (step.kind) {
    case "set":
      return buildMoves(scope, step, step.moves, from, "set", doneOf(scope, step));
    case "verify":
      return buildVerify(scope, step, from);
    case "check":
      return buildCheck(scope, step, from);
    case "observe":
      return buildObserve(scope, step, from);
    case "press":
      return buildPress(scope, step, from);
    case "hold":
      return buildHold(scope, step, from);
    case "wait":
      return buildWait(scope, step, step.milliseconds, from, doneOf(scope, step));
    case "wait-for":
      return buildWaitFor(scope, step, from);
    case "if":
      return buildIf(scope, step, from);
    case "decide":
      return buildDecide(scope, step, from);
    case "choose":
      return join(
        scope,
        step.options.map((option) => buildSteps(scope, option.steps, newPassed(scope, from))),
        step,
      );
    case "repeat":
      return buildRepeat(scope, step, from);
    case "ask":
      return buildAsk(scope, step, from);
    case "together":
      return buildTogether(scope, step, from);
    case "perform":
      return buildPerform(scope, step, from);
    case "go-to":
      return buildGoTo(scope, step, from);
    case "finish":
      return endAt(scope, step, from, finishOf(scope, step), scope.heldOutside);
    case "set-aside":
      return endAt(scope, step, from, endNode(scope, { kind: "set-aside", step }), 0);
    case "watch":
      return markAct(scope, step, bear(scope, step, from, [assign(watchActive(scope, step), 1)]));
    case "prohibit":
      return buildProhibit(scope, step, from);
    case "section":
    case "memory":
      return markAct(scope, step, buildSteps(scope, step.steps, from));
    case "record":
      return buildRecord(scope, step, from);
    case "pause":
    case "sign":
    case "say":
      return markAct(scope, step, from);
    case "do":
      if (step.marks === "place") return bear(scope, step, from, doneOf(scope, step));
      if (step.marks === undefined) return markAct(scope, step, from);
      return act(scope, step, from, { operations: doneOf(scope, step), act: { kind: "failure" } });
    default:
      return unreachable(step);
  }
}

type Of<K extends Step["kind"]> = Extract<Step, { readonly kind: K }>;

function like(from: Node): { readonly moves: ReadonlySet<string>; readonly holds: readonly Hold[] } {
  return { moves: from.moves, holds: from.holds };
}

function next(scope: Scope, from: Node): Node {
  return newNode(scope.parts, like(from));
}

function pass(scope: Scope, from: Node, to: Node, operations: readonly Operation[] = [], step?: Step): Edge {
  return newEdge(scope.parts, { from, to, kind: "pass", operations, step });
}

function newPassed(scope: Scope, from: Node): Node {
  const to = next(scope, from);
  pass(scope, from, to);
  return to;
}

/** An act to a new place; or to `to`. */
function act(scope: Scope, step: Step, from: Node, edge: Partial<Edge>): Node {
  const to = edge.to ?? next(scope, from);
  newEdge(scope.parts, { kind: "act", step, ...edge, from, to });
  return to;
}

function lastEdge(scope: Scope): Edge {
  return scope.parts.edges.at(-1)!;
}

/** Where several ways come together again; undefined where none goes on. */
function join(scope: Scope, ways: readonly Place[], step: Step): Place {
  const open = ways.filter((way) => way !== undefined);
  if (open.length === 0) return undefined;
  const meeting = next(scope, open[0]!);
  for (const way of open) pass(scope, way, meeting);
  return markAct(scope, step, meeting);
}

/** What sets the step's mark, where something asks for it. */
function doneOf(scope: Scope, step: Step): readonly Operation[] {
  const mark = `done ${step.name}`;
  return scope.world.isAskedFor(mark) ? [assign(scope.world.mark(mark), 1)] : [];
}

/** The mark of a step as an act of its own, where something asks for it and its last act did not set it. */
function markAct(scope: Scope, step: Step, from: Place): Place {
  const operations = doneOf(scope, step);
  if (!from || operations.length === 0) return from;
  return act(scope, step, from, { operations, act: { kind: "mark" } });
}

/** `needs` of a step, `begins` of what it performs: states where one fails go no further. The first act comes with it. */
function demand(
  scope: Scope,
  step: Step,
  kind: "needs" | "begins",
  conditions: readonly Condition[],
  from: Node,
): Node {
  if (conditions.length === 0) return from;
  for (const condition of conditions) {
    scope.parts.probes.push({ kind, step, condition, truth: scope.world.lower(condition), nodes: [from], edges: [] });
  }
  const to = newNode(scope.parts, { ...like(from), isUrgent: true });
  const truth = and(...conditions.map((condition) => scope.world.lower(condition)));
  newEdge(scope.parts, { from, to, kind: "pass", step, after: truth });
  return to;
}

function buildMoves(
  scope: Scope,
  step: Step,
  moves: readonly Move[],
  from: Node,
  how: "set" | "hold",
  mark: readonly Operation[] = [],
): Node {
  const there = moves.filter((move) => fittedControls(scope.world, move).length > 0);
  return there.reduce(
    (at, move, index) => buildMove(scope, step, move, at, how, index === there.length - 1 ? mark : []),
    from,
  );
}

function buildMove(
  scope: Scope,
  step: Step,
  move: Move,
  from: Node,
  how: "set" | "hold",
  mark: readonly Operation[],
): Node {
  const controls = fittedControls(scope.world, move);
  if (move.choice === "each") {
    return controls.reduce(
      (at, control, index) =>
        setAct(scope, step, control, move.position, at, how, index === controls.length - 1 ? mark : []),
      from,
    );
  }
  const to = next(scope, from);
  for (const control of controls) setAct(scope, step, control, move.position, from, how, mark, to);
  return to;
}

/** One control moved. Closing a guard moves its control with it; a guard in the way is reported, and opened, and then known. */
function setAct(
  scope: Scope,
  step: Step,
  control: string,
  position: string,
  from: Node,
  how: "set" | "hold" | "release",
  mark: readonly Operation[] = [],
  to?: Node,
): Node {
  const { world } = scope;
  const variable = world.control(control)!;
  const declared = world.system.controls.get(control)!;
  const value = world.valueOf(control, position);
  const operations = [assign(variable, value)];
  const learns = [control];
  const guarded = declared.guards;
  const moved = guarded && position === "closed" ? world.control(guarded.control) : undefined;
  if (guarded && moved) {
    operations.push(assign(moved, world.valueOf(guarded.control, guarded.position)));
    learns.push(guarded.control);
  }
  const rest = how === "hold" ? declared.springs.get(position) : undefined;
  const holding =
    rest === undefined
      ? undefined
      : newNode(scope.parts, { moves: from.moves, holds: [...from.holds, { control, rest, step }] });
  const target = to ?? holding ?? next(scope, from);
  const edges: Edge[] = [];
  const move = (more: { readonly first?: readonly Operation[]; readonly learns?: readonly string[] }) => {
    act(scope, step, from, {
      operations: [...(more.first ?? []), ...operations, ...mark],
      act: { kind: "set", control, position, how },
      learns: [...learns, ...(more.learns ?? [])],
      stated: how === "release" ? 0 : step.takes,
      to: target,
    });
    edges.push(lastEdge(scope));
  };
  const guard = guardOver(world, declared);
  if (guard && value !== guard.holds) {
    const closed = equals(guard.guard, world.valueOf(declared.guard!, "closed"));
    const opens = assign(guard.guard, world.valueOf(declared.guard!, "open"));
    move({ first: [{ kind: "assume", condition: closed }, opens], learns: [declared.guard!] });
    move({ first: [{ kind: "assume", condition: not(closed) }] });
    scope.parts.probes.push({ kind: "guard", step, control, closed, nodes: [from], edges });
  } else move({});
  if (how === "set" && step.kind === "set") {
    scope.parts.probes.push({ kind: "move", step, already: equals(variable, value), nodes: [from], edges });
  }
  return target;
}

function look(scope: Scope, step: Step, from: Node, learns: readonly string[], edge: Partial<Edge> = {}): Node {
  return act(scope, step, from, { act: { kind: "look" }, learns, stated: step.takes, ...edge });
}

function buildVerify(scope: Scope, step: Of<"verify">, from: Node): Node {
  const moves = step.moves.filter((move) => fittedControls(scope.world, move).length > 0);
  const lines = step.atOnce ? [moves] : moves.map((move) => [move]);
  return lines.reduce((at, line, index) => {
    const mark = index === lines.length - 1 ? doneOf(scope, step) : [];
    const meeting = next(scope, at);
    for (const way of eitherChoices(scope.world, line)) verifyLine(scope, step, `${index}`, way, at, mark, meeting);
    return meeting;
  }, from);
}

/** A control of a verified line, with what was seen of it. */
interface Verified {
  readonly control: string;
  readonly position: string;
  readonly otherwise: Expression;
}

/** One look decides what is set; the mark comes with the last act, be it the look. */
function verifyLine(
  scope: Scope,
  step: Step,
  name: string,
  moves: readonly Move[],
  from: Node,
  mark: readonly Operation[],
  meeting: Node,
): void {
  const { world } = scope;
  const wanted = moves.flatMap(({ position, ...move }) =>
    fittedControls(world, { ...move, position }).map((control) => ({ control, position })),
  );
  const now = wanted.map(({ control, position }) =>
    not(equals(world.control(control)!, world.valueOf(control, position))),
  );
  const learns = wanted.map(({ control }) => control);
  const right = { kind: "assume", condition: not(or(...now)) } as const;
  look(scope, step, from, learns, { operations: [right, ...mark], to: meeting });
  const notes = isLeftAlone(scope, wanted)
    ? []
    : now.map((_, index) => world.mark(`otherwise ${step.name} ${name} ${index}`));
  const noting = notes.map((note, index) => choose({ when: now[index]!, assign: [{ variable: note, value: 1 }] }));
  const wrong = { kind: "assume", condition: or(...now) } as const;
  const seen = look(scope, step, from, learns, { operations: [wrong, ...noting] });
  const verified = wanted.map((one, index) => ({
    ...one,
    otherwise: notes[index] ? equals(notes[index], 1) : now[index]!,
  }));
  const forget = notes.map((note) => assign(note, 0));
  correct(scope, step, verified, seen, [...mark, ...forget], meeting);
}

/** Can nothing move one of the controls between the look and its correction? */
function isLeftAlone(scope: Scope, wanted: readonly { readonly control: string }[]): boolean {
  if (scope.inLane) return false;
  return wanted.length === 1 || wanted.every(({ control }) => !scope.world.system.controls.get(control)?.guards);
}

/** Sets what was seen otherwise, in order; `last` comes with the last of them. */
function correct(
  scope: Scope,
  step: Step,
  verified: readonly Verified[],
  from: Node,
  last: readonly Operation[],
  meeting: Node,
): void {
  let at = from;
  verified.forEach(({ control, position, otherwise }, index) => {
    const more = or(...verified.slice(index + 1).map((one) => one.otherwise));
    const after = next(scope, at);
    const setWhere = (condition: Expression, marks: readonly Operation[], to: Node) => {
      if (condition === FALSE) return;
      const chosen = next(scope, at);
      pass(scope, at, chosen, [{ kind: "assume", condition }], step);
      setAct(scope, step, control, position, chosen, "set", marks, to);
    };
    setWhere(and(otherwise, not(more)), last, meeting);
    setWhere(and(otherwise, more), [], after);
    if (more !== FALSE) pass(scope, at, after, [{ kind: "assume", condition: and(not(otherwise), more) }], step);
    at = after;
  });
}

function buildCheck(scope: Scope, step: Of<"check">, from: Node): Place {
  const { world } = scope;
  const learns = thingsNamed(step.condition).filter((thing) => world.isFitted(thing));
  const passes = world.lowerTimed(step.condition);
  const asserted = isOfProvenLights(world, step.condition);
  const good = look(scope, step, from, learns, {
    after: asserted ? TRUE : passes,
    operations: [...readings(scope, step.condition), ...timed(scope, step.condition), ...doneOf(scope, step)],
    act: { kind: "look", condition: step.condition, outcome: true },
  });
  const passed = lastEdge(scope);
  const failing = look(scope, step, from, learns, {
    after: asserted ? TRUE : not(world.lower(step.condition)),
    operations: readings(scope, step.condition),
    act: { kind: "look", condition: step.condition, outcome: false },
  });
  const failed = lastEdge(scope);
  if (asserted) scope.parts.probes.push({ kind: "observe", step, nodes: [from], edges: [passed] });
  else if (step.ifNot.length > 0) scope.parts.probes.push({ kind: "if-not", step, nodes: [from], edges: [failed] });
  if (!asserted) askSight(scope, step, from, [passed, failed], step.condition, []);
  const after = markAct(scope, step, buildSteps(scope, step.ifNot, failing));
  if (after) pass(scope, after, good);
  return good;
}

/** Lights only, and the model settles each of them: such a check is an observation. */
export function isOfProvenLights(world: Pick<World, "system">, condition: Condition): boolean {
  switch (condition.kind) {
    case "and":
    case "or":
      return condition.of.length > 0 && condition.of.every((part) => isOfProvenLights(world, part));
    case "not":
      return isOfProvenLights(world, condition.of);
    case "fitted":
      return true;
    case "light": {
      const light = world.system.lights.get(condition.light);
      return light?.litWhen !== undefined || light?.flashingWhen !== undefined;
    }
    default:
      return false;
  }
}

/** Lights without logic read anything, afresh at each look. */
function readings(scope: Scope, condition: Condition): readonly Operation[] {
  scope.world.lower(condition);
  const variables = thingsNamed(condition).flatMap((thing) => scope.world.find(`reading of ${thing}`) ?? []);
  return variables.length > 0 ? [{ kind: "havoc", variables, constraint: TRUE }] : [];
}

/** The crew has timed `(P) for T`: its clock reads T at least, and no other is touched. */
function timed(scope: Scope, condition: Condition): readonly Operation[] {
  const parts: Operation[] = [];
  const visit = (part: Condition): void => {
    if (part.kind === "and" || part.kind === "or") part.of.forEach(visit);
    if (part.kind !== "for") return;
    const held = scope.world.held(part.of);
    const ticks = Math.min(scope.world.ticks(part.milliseconds), held.clock.size - 1);
    const below = isIn(held.clock, range(0, ticks - 1));
    if (ticks > 0)
      parts.push(choose({ when: and(held.truth, below), assign: [{ variable: held.clock, value: ticks }] }));
  };
  visit(condition);
  return parts;
}

function askSight(
  scope: Scope,
  step: Step,
  node: Node,
  edges: readonly Edge[],
  condition: Condition,
  but: readonly string[],
): void {
  const truth = scope.world.lowerTimed(condition);
  scope.parts.probes.push({ kind: "look", step, nodes: [node], edges, condition, truth, but });
}

function buildObserve(scope: Scope, step: Of<"observe">, from: Node): Node {
  const lights = step.lights.filter((light) => scope.world.isFitted(light));
  const cases = step.lit.flatMap((listed) => (listed.when ? thingsNamed(listed.when) : []));
  const named = [...new Set([...lights, ...cases.filter((thing) => scope.world.isFitted(thing))])];
  const to = look(scope, step, from, named, { operations: doneOf(scope, step) });
  const edge = lastEdge(scope);
  scope.parts.probes.push({ kind: "observe", step, nodes: [from], edges: [edge] });
  for (const listed of step.lit) if (listed.when) askSight(scope, step, from, [edge], listed.when, lights);
  const looks = [edge];
  for (const branch of step.ifNot) {
    if (branch.light !== undefined && !scope.world.isFitted(branch.light)) continue;
    const wrong = look(scope, step, from, named);
    looks.push(lastEdge(scope));
    const after = markAct(scope, step, buildSteps(scope, branch.steps, wrong));
    if (after) pass(scope, after, to);
  }
  scope.parts.probes.push({ kind: "watch", step, nodes: [from], edges: looks });
  return to;
}

function buildPress(scope: Scope, step: Of<"press">, from: Node): Node {
  const choices = eitherChoices(scope.world, step.moves);
  let at = from;
  for (let round = 1; round <= step.times; round++) {
    const mark = round === step.times ? doneOf(scope, step) : [];
    const ends = choices.map((moves) => {
      const pressed = buildMoves(scope, step, moves, at, "hold");
      return release(scope, step, pressed, heldMoves(scope, step, moves), mark);
    });
    at = ends.length === 1 ? ends[0]! : meetingOf(scope, at, ends);
  }
  return at;
}

function meetingOf(scope: Scope, like: Node, ends: readonly Node[]): Node {
  const meeting = next(scope, like);
  for (const end of ends) pass(scope, end, meeting);
  return meeting;
}

function heldMoves(scope: Scope, step: Step, moves: readonly Move[]): readonly Hold[] {
  return moves.flatMap((move) =>
    fittedControls(scope.world, move).flatMap((control) => {
      const rest = scope.world.system.controls.get(control)?.springs.get(move.position);
      return rest === undefined ? [] : [{ control, rest, step }];
    }),
  );
}

function release(scope: Scope, step: Step, from: Node, holds: readonly Hold[], mark: readonly Operation[]): Node {
  return holds.reduce((at, hold, index) => {
    const to = newNode(scope.parts, {
      moves: at.moves,
      holds: at.holds.filter((held) => held.control !== hold.control),
    });
    return setAct(scope, step, hold.control, hold.rest, at, "release", index === holds.length - 1 ? mark : [], to);
  }, from);
}

function buildHold(scope: Scope, step: Of<"hold">, from: Node): Place {
  const choices = eitherChoices(scope.world, step.moves);
  const ends = choices.map((moves) => {
    const held = heldMoves(scope, step, moves);
    let at = buildSteps(scope, step.steps, buildMoves(scope, step, moves, from, "hold"));
    if (at && step.for && !step.for.upTo) at = buildWait(scope, step, step.for.milliseconds, at, []);
    return at && release(scope, step, at, held, step.steps.length > 0 || step.for ? [] : doneOf(scope, step));
  });
  const inner = step.steps.length > 0 || step.for !== undefined;
  if (ends.length === 1) return inner ? markAct(scope, step, ends[0]) : ends[0];
  const open = ends.filter((end) => end !== undefined);
  if (open.length === 0) return undefined;
  const meeting = meetingOf(scope, from, open);
  return inner ? markAct(scope, step, meeting) : meeting;
}

/** Every way to take `either`: each as if it were written. */
function eitherChoices(world: World, moves: readonly Move[]): readonly (readonly Move[])[] {
  return moves.reduce<readonly (readonly Move[])[]>(
    (ways, move) => {
      if (move.choice === "each") return ways.map((way) => [...way, move]);
      const options = fittedControls(world, move).map(
        (control): Move => ({ ...move, choice: "each", controls: [control] }),
      );
      return ways.flatMap((way) => options.map((option) => [...way, option]));
    },
    [[]],
  );
}

/** A sure time: begun, ticks, over. */
function buildWait(scope: Scope, step: Step, milliseconds: number, from: Node, mark: readonly Operation[]): Node {
  let at = act(scope, step, from, { act: { kind: "wait", phase: "begun" } });
  for (let tick = scope.world.ticks(milliseconds); tick > 0; tick--) {
    const to = next(scope, at);
    newEdge(scope.parts, { from: at, to, kind: "tick", step, stated: scope.world.times.tick });
    at = to;
  }
  return act(scope, step, at, { operations: mark, act: { kind: "wait", phase: "over" } });
}

function buildWaitFor(scope: Scope, step: Of<"wait-for">, from: Node): Place {
  const { world } = scope;
  const stated = step.within ?? Number.POSITIVE_INFINITY;
  const begun = act(scope, step, from, { act: { kind: "wait", phase: "begun" }, stated });
  const waiting = buildSteps(scope, step.steps, begun);
  if (!waiting) return undefined;
  const place = newPassed(scope, waiting);
  const passes = world.lowerTimed(step.condition);
  const hasInner = step.steps.length > 0;
  const mark = hasInner ? [] : doneOf(scope, step);
  const seen = act(scope, step, place, {
    after: passes,
    operations: [...readings(scope, step.condition), ...timed(scope, step.condition), ...mark],
    act: { kind: "look", condition: step.condition, outcome: true },
  });
  const exits = [lastEdge(scope)];
  const over = hasInner ? markAct(scope, step, seen)! : seen;
  if (step.within === undefined) {
    scope.parts.probes.push({ kind: "stuck", what: "wait", step, nodes: [place], edges: exits, region: [place] });
    askSight(scope, step, place, exits, step.condition, []);
    return over;
  }
  const late = act(scope, step, place, {
    after: not(world.lower(step.condition)),
    operations: readings(scope, step.condition),
    act: { kind: "look", condition: step.condition, outcome: false },
  });
  exits.push(lastEdge(scope));
  askSight(scope, step, place, exits, step.condition, []);
  scope.parts.probes.push({ kind: "if-not", step, nodes: [place], edges: [exits[1]!] });
  const after = markAct(scope, step, buildSteps(scope, step.ifNot, late));
  if (after) pass(scope, after, over);
  return over;
}

function buildIf(scope: Scope, step: Of<"if">, from: Node): Place {
  return buildWays(scope, step, from, [
    { condition: step.condition, steps: step.then },
    { condition: undefined, steps: step.else },
  ]);
}

function buildDecide(scope: Scope, step: Of<"decide">, from: Node): Place {
  return buildWays(scope, step, from, step.ways);
}

/**
 * Ways tried in order by one look; the states that fit none go to a gap. Of the two only `if` makes known what it names:
 * the list of the semantics leaves out `decide`, and `wait-for` too.
 */
function buildWays(
  scope: Scope,
  step: Step,
  from: Node,
  ways: readonly { readonly condition?: Condition | undefined; readonly steps: readonly Step[] }[],
): Place {
  const { world } = scope;
  const conditions = ways.flatMap((way) => way.condition ?? []);
  const looked = step.kind === "if" ? conditions.flatMap(thingsNamed) : [];
  const learns = [...new Set(looked)].filter((thing) => world.isFitted(thing));
  const drawn = conditions.flatMap((condition) => readings(scope, condition));
  const edges: Edge[] = [];
  const before: Expression[] = [];
  const ends: Place[] = [];
  for (const way of ways) {
    const truth = way.condition ? world.lowerTimed(way.condition) : TRUE;
    const act_ = way.condition
      ? ({ kind: "look", condition: way.condition, outcome: true } as const)
      : conditions[0]
        ? ({ kind: "look", condition: conditions[0], outcome: false } as const)
        : ({ kind: "look" } as const);
    const at = look(scope, step, from, learns, {
      after: and(...before, truth),
      operations: [...drawn, ...(way.condition ? timed(scope, way.condition) : [])],
      act: act_,
    });
    edges.push(lastEdge(scope));
    ends.push(buildSteps(scope, way.steps, at));
    if (way.condition) before.push(not(world.lower(way.condition)));
  }
  if (ways.every((way) => way.condition)) {
    look(scope, step, from, learns, {
      after: and(...before),
      operations: drawn,
      to: endNode(scope, { kind: "gap", step }),
    });
    edges.push(lastEdge(scope));
  }
  for (const condition of conditions) askSight(scope, step, from, edges, condition, []);
  return join(scope, ends, step);
}

function buildRepeat(scope: Scope, step: Of<"repeat">, from: Node): Place {
  const { world, parts } = scope;
  const fitted = step.moves.filter((gauge) => world.isFitted(gauge));
  const inside = { moves: new Set([...from.moves, ...fitted]), holds: from.holds };
  const firstEdge = parts.edges.length;
  const head = newNode(parts, inside);
  const firstNode = head.id;
  const rounds =
    step.times !== undefined && step.times > 1
      ? world.variable(`rounds of ${step.name}`, step.times, { kind: "memory" })
      : undefined;
  const body = buildSteps(scope, step.steps, head);
  const exit = newNode(parts, like(from));
  const exits: Edge[] = [];
  if (body) closeLoop(scope, step, body, head, exit, rounds, exits);
  const region = parts.nodes.slice(firstNode).filter((node) => node !== exit && node.end === undefined);
  if (step.until) parts.probes.push({ kind: "stuck", what: "loop", step, nodes: [head], edges: exits, region });
  enterLoop(scope, from, head, exit, fitted, firstEdge);
  return exits.length > 0 ? markAct(scope, step, exit) : undefined;
}

/** The look after each round, the wait between rounds, the count of rounds. */
function closeLoop(
  scope: Scope,
  step: Of<"repeat">,
  body: Node,
  head: Node,
  exit: Node,
  rounds: ReturnType<World["variable"]> | undefined,
  exits: Edge[],
): void {
  const { world } = scope;
  const leave = (from: Node, edge: Partial<Edge>) => {
    newEdge(scope.parts, { kind: "pass", step, from, to: exit, ...edge });
    exits.push(lastEdge(scope));
  };
  let again = body;
  if (step.until) {
    const learns = thingsNamed(step.until).filter((thing) => world.isFitted(thing));
    const drawn = readings(scope, step.until);
    const passes = world.lowerTimed(step.until);
    leave(body, {
      kind: "act",
      after: passes,
      operations: [...drawn, ...timed(scope, step.until)],
      learns,
      stated: step.takes,
      act: { kind: "look", condition: step.until, outcome: true },
    });
    again = look(scope, step, body, learns, {
      after: not(world.lower(step.until)),
      operations: drawn,
      act: { kind: "look", condition: step.until, outcome: false },
    });
    askSight(scope, step, body, [exits[0]!, lastEdge(scope)], step.until, []);
  }
  if (step.times !== undefined) {
    const last = rounds ? equals(rounds, rounds.size - 1) : TRUE;
    const reset = rounds ? [assign(rounds, 0)] : [];
    leave(again, { operations: [{ kind: "assume", condition: last }, ...reset] });
    if (!rounds) return;
    const counted = next(scope, again);
    const cases = range(0, rounds.size - 2).map((value) => ({
      when: equals(rounds, value),
      assign: [{ variable: rounds, value: value + 1 }],
    }));
    pass(scope, again, counted, [{ kind: "assume", condition: not(last) }, choose(...cases)], step);
    again = counted;
  }
  if (step.every !== undefined) again = buildWait(scope, step, step.every, again, []);
  pass(scope, again, head);
}

/** Gauges may move only after an act inside the loop: it is entered through places of its own up to the first acts. */
function enterLoop(
  scope: Scope,
  from: Node,
  head: Node,
  exit: Node,
  moves: readonly string[],
  firstEdge: number,
): void {
  if (moves.length === 0) pass(scope, from, head);
  else copyUntilActs(scope.parts, from, head, exit, firstEdge);
}

function buildAsk(scope: Scope, step: Of<"ask">, from: Node): Node {
  const variable = scope.world.outside(step.outside)!;
  return act(scope, step, from, {
    operations: [assign(variable, scope.world.valueOf(step.outside, step.state)), ...doneOf(scope, step)],
    act: { kind: "ask", outside: step.outside, state: step.state },
    learns: [step.outside],
    stated: step.takes,
  });
}

function buildRecord(scope: Scope, step: Of<"record">, from: Node): Place {
  const mark = `recorded ${step.gauge}`;
  const recorded = scope.world.isAskedFor(mark) ? [assign(scope.world.mark(mark), 1)] : [];
  const operations = [...recorded, ...doneOf(scope, step)];
  return operations.length > 0
    ? act(scope, step, from, { operations, act: { kind: "mark" }, stated: step.takes })
    : from;
}

/** What is only borne in mind is no act: it makes no moment. */
function bear(scope: Scope, step: Step, from: Node, operations: readonly Operation[]): Node {
  const to = next(scope, from);
  pass(scope, from, to, operations, step);
  return to;
}

function buildProhibit(scope: Scope, step: Of<"prohibit">, from: Node): Place {
  const { world } = scope;
  const active = world.mark(`in force ${step.name}`);
  const until = step.until ? world.lower(step.until) : FALSE;
  const lifted = until === FALSE ? [] : [choose({ when: until, assign: [{ variable: active, value: 0 }] })];
  const to = bear(scope, step, from, [assign(active, 1), ...lifted]);
  scope.parts.probes.push({
    kind: "prohibit",
    step,
    active,
    condition: step.condition,
    truth: world.lower(step.condition),
    until,
    nodes: [from],
    edges: [lastEdge(scope)],
  });
  return markAct(scope, step, to);
}

function buildTogether(scope: Scope, step: Of<"together">, from: Node): Place {
  const lanes = step.lanes.map((lane): LaneGraph => {
    const parts = emptyParts();
    const entry = newNode(parts, like(from));
    const finish = newNode(parts, { moves: from.moves, holds: [], end: { kind: "finish" } });
    const inner: Scope = { ...scope, parts, finish, inLane: true };
    const exit = buildLane(inner, lane.steps, entry);
    buildWatchesOfLane(inner, exit);
    return { parts, entry, exit };
  });
  const firstWoven = scope.parts.nodes.length;
  const ends = new Map<Node, Node>();
  const exit = interleave(scope.parts, from, lanes, (laneEnd, holds) => {
    const target = ends.get(laneEnd) ?? (laneEnd.end!.kind === "finish" ? scope.finish : endNode(scope, laneEnd.end!));
    ends.set(laneEnd, target);
    const kept = laneEnd.end!.kind === "finish" ? scope.heldOutside : 0;
    const entry = newNode(scope.parts, { moves: from.moves, holds });
    endAt({ ...scope, inLane: false }, laneEnd.end!.step, entry, target, kept);
    return entry;
  });
  for (const node of scope.parts.nodes.slice(firstWoven)) scope.woven.add(node);
  if (!exit) return undefined;
  const after = newNode(scope.parts, like(from));
  newEdge(scope.parts, { from: exit, to: after, kind: "pass", joins: true });
  return markAct(scope, step, after);
}

function buildPerform(scope: Scope, step: Of<"perform">, from: Node): Place {
  const entered = demand(scope, step, "begins", step.begins, from);
  const exit = next(scope, from);
  const inner: Scope =
    step.target.kind === "procedure" ? { ...scope, finish: exit, heldOutside: from.holds.length } : scope;
  const last = buildSteps(inner, step.steps, newPassed(scope, entered));
  if (last) pass(scope, last, exit);
  return scope.parts.edges.some((edge) => edge.to === exit) ? markAct(scope, step, exit) : undefined;
}

function buildGoTo(scope: Scope, step: Of<"go-to">, from: Node): undefined {
  const end = endNode(scope, { kind: "go-to", step });
  endAt(scope, step, from, end, 0);
  handOver(scope, end, step.procedure, step);
  return undefined;
}

function handOver(scope: Scope, node: Node, procedure: string, step: Step | undefined): void {
  for (const condition of scope.program.procedures.get(procedure)?.begins ?? []) {
    scope.parts.probes.push({
      kind: "hand-over",
      step,
      procedure,
      condition,
      truth: scope.world.lower(condition),
      nodes: [node],
      edges: [],
    });
  }
}

function endNode(scope: Scope, end: End): Node {
  return newNode(scope.parts, { moves: new Set(), holds: [], end });
}

/** A lane ends with whatever let it: its mark is set where what is held has been let go. */
function finishOf(scope: Scope, step: Step): Node {
  return scope.inLane && scope.finish.end
    ? newNode(scope.parts, { ...like(scope.finish), end: { kind: "finish", step } })
    : scope.finish;
}

/** Ends the run, or the performed procedure: what is still held is let go on the way, inner holds first; then it is done. */
function endAt(scope: Scope, step: Step | undefined, from: Node, end: Node, kept: number): undefined {
  if (scope.inLane && end.end) {
    pass(scope, from, end);
    return undefined;
  }
  let at = from;
  for (const hold of from.holds.slice(kept).toReversed()) {
    const to = newNode(scope.parts, {
      moves: at.moves,
      holds: at.holds.filter((held) => held.control !== hold.control),
    });
    at = releaseAtEnd(scope, hold, at, to);
  }
  pass(scope, step ? markAct(scope, step, at)! : at, end);
  return undefined;
}

/** The letting go is the act of who took it. */
function releaseAtEnd(scope: Scope, hold: Hold, from: Node, to: Node): Node {
  const variable = scope.world.control(hold.control)!;
  newEdge(scope.parts, {
    kind: "act",
    from,
    to,
    step: hold.step,
    operations: [assign(variable, scope.world.valueOf(hold.control, hold.rest))],
    act: { kind: "set", control: hold.control, position: hold.rest, how: "release" },
    learns: [hold.control],
  });
  return to;
}

function watchActive(scope: Scope, step: Step) {
  return scope.world.mark(`watching ${step.name}`);
}

/**
 * A watch may be answered at any later moment at which its condition has just ceased. `ceased NAME` is kept by a memory
 * (see `compile`); its branch is built once for each place, since what is held there is let go when it ends the run. While
 * one is answered another may cease; the same is not answered anew until that is done.
 */
function buildWatches(scope: Scope): void {
  for (const step of scope.watches) {
    const active = watchActive(scope, step);
    const starts = scope.parts.edges
      .filter((edge) => edge.operations.some((one) => one.kind === "assign" && one.variable === active))
      .map((edge) => edge.to);
    for (const node of nodesFrom(scope.parts, starts)) if (!scope.woven.has(node)) answerAt(scope, node, step);
  }
}

/** A lane whose last line is no act is not over until that is come to: a watch may still be answered ahead of it. */
function buildLane(scope: Scope, steps: readonly Step[], entry: Node): Place {
  const there = steps.filter(({ applies }) => !applies || scope.world.fitHolds(applies));
  const before = buildSteps(scope, there.slice(0, -1), entry);
  const exit = buildSteps(scope, there.slice(-1), before);
  const isAhead = exit !== undefined && exit === before && there.length > 0 && scope.watches.length > 0;
  return isAhead ? newPassed(scope, exit) : exit;
}

/** In lanes each person may answer, and the others go on meanwhile. */
function buildWatchesOfLane(scope: Scope, exit: Place): void {
  const places = scope.parts.nodes.filter((node) => node !== exit);
  for (const step of scope.watches) for (const node of places) answerAt(scope, node, step);
}

function answerAt(scope: Scope, node: Node, step: Of<"watch">): void {
  const outer = scope.answering.get(node) ?? [];
  if (node.end || node.isUrgent || outer.includes(step) || scope.answered.get(node)?.has(step)) return;
  scope.answered.set(node, new Set([...(scope.answered.get(node) ?? []), step]));
  const ceased = scope.world.mark(`ceased ${step.name}`);
  const branch = next(scope, node);
  const first = branch.id;
  pass(scope, node, branch, [{ kind: "assume", condition: equals(ceased, 1) }], step);
  const after = buildSteps(scope, step.ifNot, branch);
  if (after) pass(scope, after, node);
  const places = scope.parts.nodes.slice(first);
  for (const place of places) scope.answering.set(place, [...outer, step]);
  for (const place of places) for (const other of scope.watches) answerAt(scope, place, other);
}

/** The condition of every `watch` that is there, with the marks that `compile` keeps. */
export function watchesOf(
  world: World,
  graph: Graph,
): readonly { readonly active: string; readonly ceased: string; readonly truth: Expression }[] {
  const watches = [...graph.entries.keys()].filter(
    (step): step is Of<"watch"> => step.kind === "watch" && step.ifNot.length > 0,
  );
  return watches.map((step) => ({
    active: `watching ${step.name}`,
    ceased: `ceased ${step.name}`,
    truth: world.lower(step.condition),
  }));
}
