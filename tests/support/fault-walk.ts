import type { Condition } from "../../src/program/condition.js";
import type { Fault } from "../../src/program/coverage.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { withInner } from "../../src/program/rebuild.js";
import type { Light, System, Tail } from "../../src/program/system.js";
import { type Explored, explore } from "../oracle/explore.js";
import { PATH_ENDS } from "../oracle/interpreter.js";
import { type Late, lateWaits } from "../oracle/liveness.js";
import { everyStep } from "../oracle/text.js";
import { deaf, type Moment, type Question } from "../oracle/walk.js";
import { buildWorld, holds, type World } from "../oracle/world.js";
import {
  failsCheck,
  isOfLightsAlone,
  isWrongList,
  stuckIn,
  tellsOfCheck,
  tellsOfWait,
  type Usual,
  usualIn,
} from "./sights.js";

/** The system with the fault in it, by plain substitution. Only for systems whose logic names neither lights nor conditions. */
export function faulty(system: System, fault: Fault): System {
  const truth = fault.stuck === "true";
  const replaced = (condition: Condition, owner: string): Condition => {
    let number = 0;
    const visit = (part: Condition): Condition => {
      if (part.kind === "and" || part.kind === "or") return { ...part, of: part.of.map(visit) };
      if (part.kind === "not") return { ...part, of: visit(part.of) };
      number += 1;
      if (fault.kind === "use")
        return fault.id.startsWith(`use ${owner} #${number} `)
          ? { kind: "constant", value: truth, span: part.span }
          : part;
      if (fault.kind !== "control" || part.kind !== "is" || part.of !== "control" || part.thing !== fault.thing)
        return part;
      return { kind: "constant", value: part.values.includes(fault.stuck) !== part.negated, span: part.span };
    };
    return visit(condition);
  };
  const lights = [...system.lights.values()].map((light): Light => {
    const { id, litWhen, flashingWhen, latchedUntil, cancelledBy } = light;
    if (fault.kind === "light" && fault.thing === id) return stuckLamp(light, fault.stuck === "lit");
    const read = (condition: Condition, part: string) => replaced(condition, `light ${id} ${part}`);
    return {
      ...light,
      ...(litWhen && { litWhen: read(litWhen, "lit-when") }),
      ...(flashingWhen && { flashingWhen: read(flashingWhen, "flashing-when") }),
      ...(latchedUntil && { latchedUntil: read(latchedUntil, "latched-until") }),
      ...(cancelledBy && { cancelledBy: read(cancelledBy, "cancelled-by") }),
    };
  });
  const equipment = [...system.equipment.values()].map((piece) => ({
    ...piece,
    changes: piece.changes.map((change, index) =>
      change.when ? { ...change, when: replaced(change.when, `equipment ${piece.id} change ${index + 1}`) } : change,
    ),
  }));
  const byId = <T extends { readonly id: string }>(things: readonly T[]) => new Map(things.map((one) => [one.id, one]));
  return { ...system, lights: byId(lights), equipment: byId(equipment) };
}

function stuckLamp(light: Light, lit: boolean): Light {
  const { flashingWhen: _flashing, latchedUntil: _latched, cancelledBy: _cancelled, ...rest } = light;
  return { ...rest, litWhen: { kind: "constant", value: lit, span: light.span } };
}

/** A light as it would be in the same state without the fault. */
const HEALTHY = " as it should be";

export interface Revealed {
  readonly revealed: "always" | "sometimes" | "never" | "no start";
  /** First in the text of the steps that reveal it. */
  readonly first: string | undefined;
}

/** Whether going through the procedure with the fault reveals it, by walking through every run. */
export function revealedBy(
  program: Program,
  procedure: Procedure,
  tail: Tail,
  fault: Fault,
  usual: Usual,
  limit: number,
): Revealed {
  const world = faultyWorld(program, procedure, tail, fault);
  let current = () => -1;
  const seen: Site[] = [];
  const unseen: number[] = [];
  const cutShort = new Set<number>();
  const question: Question = {
    start: () => [],
    moment: (monitor, moment) => {
      if (!shows(world, usual, moment)) return monitor;
      seen.push({ id: current(), step: moment.step! });
      return "broken";
    },
  };
  const asked = new Set([...everyStep(procedure.steps)].flatMap(({ name, needs }) => (needs ? [name] : [])));
  const explored = explore(world, question, limit, (_distance, at) => {
    current = at;
    return {
      ...deaf,
      note: (code, step) => {
        const isOwn = code !== "flow/needs" || asked.has(step?.name ?? "");
        if (!PATH_ENDS.includes(code) || !isOwn) return;
        cutShort.add(at());
        unseen.push(at());
      },
      handOver: (_code, step, begins, state) => {
        if (begins.every((begin) => holds(world, state, begin))) return;
        cutShort.add(at());
        if (step.kind === "perform") unseen.push(at());
      },
    };
  });
  const { configs } = explored;
  if (configs.length === 0) return { revealed: "no start", first: undefined };
  const tellingAt = (what: "waits" | "stuck", site: Site) => tellsOfWait(world, usual, what, site, explored);
  const late = lateWaits(explored, cutShort).filter((one) => tellingAt("waits", one));
  const stuck = stuckIn(explored, cutShort);
  seen.push(...late, ...stuck.filter((one) => tellingAt("stuck", one)));
  unseen.push(...stuck.filter((one) => !tellingAt("stuck", one)).map(({ id }) => id));
  unseen.push(...configs.flatMap(({ end }, id) => (end ? [id] : [])));
  const reached = reachedWithout(explored, late);
  const seers = new Set(seen.flatMap(({ id, step }) => (reached.has(id) ? [step.name] : [])));
  const [first] = [...everyStep(procedure.steps)].map(({ name }) => name).filter((name) => seers.has(name));
  if (first === undefined) return { revealed: "never", first };
  return { revealed: unseen.some((id) => reached.has(id)) ? "sometimes" : "always", first };
}

interface Site {
  readonly id: number;
  readonly step: Step;
}

/** The configurations that are come to where nobody goes on once a limit has told of the fault. */
function reachedWithout({ parents, edges }: Explored, late: readonly Late[]): ReadonlySet<number> {
  const told = new Map(late.map(({ id, after }) => [id, new Set(after)]));
  const reached = new Set(parents.flatMap((parent, id) => (parent < 0 ? [id] : [])));
  for (const id of reached) for (const next of edges[id]!) if (!told.get(id)?.has(next)) reached.add(next);
  return reached;
}

/** The equipment with the fault, with each light beside it as it would be without. */
function faultyWorld(program: Program, procedure: Procedure, tail: Tail, fault: Fault): World {
  const sound = program.systems.get(procedure.system)!;
  const system = faulty(sound, fault);
  const alone = answeringNothing(program, procedure, tail);
  const healthy = [...sound.lights.values()].map(
    (light) => [light.id + HEALTHY, { ...light, id: light.id + HEALTHY }] as const,
  );
  const both = { ...system, lights: new Map([...system.lights, ...healthy]) };
  const systems = new Map([...program.systems, [system.id, both]]);
  const procedures = new Map([...program.procedures, [alone.id, alone]]);
  return buildWorld({ ...program, systems, procedures, rules: [] }, alone, tail);
}

/** What is usual is so where all is well and nobody answers a list that is right. */
export function usualWithoutFault(program: Program, procedure: Procedure, tail: Tail, limit: number): Usual {
  const alone = answeringNothing(program, procedure, tail);
  const procedures = new Map([...program.procedures, [alone.id, alone]]);
  return usualIn({ ...program, procedures, rules: [] }, alone, tail, limit);
}

/** Lights other than listed; a check that fails, and does not without the fault: in that state, or where nothing else differs that stays. */
function shows(world: World, usual: Usual, { by, step, now }: Moment): boolean {
  if (by !== "act" || !step) return false;
  if (step.kind === "observe") return isWrongList(world, step, now);
  if (step.kind !== "check" || !failsCheck(world, step, now)) return false;
  if (isOfLightsAlone(world, step.condition)) return true;
  const isRight = !failsCheck(world, { ...step, condition: withHealthyLights(step.condition) }, now);
  return isRight || tellsOfCheck(usual, step, now);
}

function withHealthyLights(c: Condition): Condition {
  if (c.kind === "light") return { ...c, light: c.light + HEALTHY };
  if (c.kind === "and" || c.kind === "or") return { ...c, of: c.of.map(withHealthyLights) };
  return c.kind === "not" || c.kind === "for" || c.kind === "checked" ? { ...c, of: withHealthyLights(c.of) } : c;
}

/** With one fault in the equipment, what the card says for a list that is wrong is done only where that is seen. */
function answeringNothing(program: Program, procedure: Procedure, tail: Tail): Procedure {
  return { ...procedure, ends: [], steps: neverAnswered(procedure.steps, buildWorld(program, procedure, tail)) };
}

function neverAnswered(steps: readonly Step[], world: World): readonly Step[] {
  return steps.map((each): Step => {
    const step = withInner(each, (inner) => neverAnswered(inner, world));
    const { number, span, verb } = step;
    const needs = { kind: "constant", value: false, span } as const;
    const common = { name: "answer", number, span, verb, by: [], takes: 0, critical: false, needs };
    const never: Step = { ...common, kind: "do", text: "" };
    if (step.kind === "check" && isOfLightsAlone(world, step.condition)) return { ...step, ifNot: [never] };
    return step.kind === "observe" ? { ...step, ifNot: [] } : step;
  });
}
