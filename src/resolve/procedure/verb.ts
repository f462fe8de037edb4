import { unreachable } from "../../invariant.js";
import type { Verb } from "../../program/procedure.js";
import { type Entry, entry, type Node, type ScalarNode } from "../../syntax/tree.js";
import { inLook, inStep } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { timeAt, timeOf, wholeAt } from "../numbers.js";
import { asScalar, present, scalarAt, textAt } from "../read.js";
import type { Scene } from "../scene.js";
import { twoEnds, wayAfterOtherwise } from "./contradiction.js";
import { askOf, goToOf } from "./elsewhere.js";
import { gaugesMoved } from "./moved.js";
import { readMoves } from "./moves.js";
import { readObserve } from "./observe.js";
import { performOf } from "./perform.js";
import { type Branch, plansIn, type StepPlan } from "./plan.js";
import type { Verbs } from "./verbs.js";

/** A step's verb, resolved; undefined where a part of it has a fault, which was reported. */
export function readVerb(plan: StepPlan, verbs: Verbs): Verb | undefined {
  const { kind, node, verb } = plan;
  const { scene, steps } = verbs;
  const value = asScalar(verb.value);
  const text = value?.text ?? "";
  const look = (at: ScalarNode | undefined) => readCondition(at, scene, inLook(`\`${kind}\``));
  const inside = (slot: string) => steps(plansIn(plan, slot));
  switch (kind) {
    case "set":
    case "verify": {
      const moves = readMoves(verb.value, kind, scene);
      return moves && { kind, moves, atOnce: verb.value.kind === "map" };
    }
    case "press": {
      const moves = readMoves(verb.value, kind, scene);
      return moves && { kind, moves, times: wholeAt(node, "times", scene.report) ?? 1 };
    }
    case "hold": {
      const moves = readMoves(verb.value, kind, scene);
      return moves && { kind, moves, ...present({ for: holdTime(node, scene) }), steps: inside("while") };
    }
    case "check": {
      const condition = look(value);
      return condition && { kind, condition, ifNot: inside("if-not") };
    }
    case "observe":
      return readObserve(plan, scene, steps);
    case "wait": {
      const milliseconds = value && timeOf(value.text, value, scene.report);
      return milliseconds === undefined ? undefined : { kind, milliseconds };
    }
    case "wait-for": {
      const condition = look(value);
      const within = timeAt(node, "within", scene.report);
      if (!condition || (entry(node, "within") && within === undefined)) return undefined;
      return { kind, condition, ...present({ within }), ifNot: inside("if-not"), steps: inside("while") };
    }
    case "if": {
      const condition = look(value);
      // biome-ignore lint/suspicious/noThenProperty: the word of the language; nobody awaits a step
      return condition && { kind, condition, then: inside("then"), else: inside("else") };
    }
    case "decide":
      return decideOf(plan, scene, look, steps);
    case "choose": {
      const options = plan.branches.map(({ key = "", plans }) => ({ title: key, steps: steps(plans) }));
      return { kind, options, ...present({ title: textAt(node, "title") }) };
    }
    case "repeat":
      return repeatOf(plan, verbs);
    case "ask":
      return askOf(plan, scene);
    case "together":
      return { kind, lanes: plan.branches.map(({ key = "", plans }) => ({ by: key, steps: steps(plans) })) };
    case "perform":
      return performOf(plan, verbs);
    case "go-to":
      return goToOf(plan, verbs);
    case "finish":
    case "sign":
      return { kind, ...(text === "" ? {} : { text }) };
    case "set-aside":
    case "do":
      return { kind, text };
    case "pause":
      return { kind, ...(text === "" ? {} : { text }), ...present({ releasedBy: textAt(node, "released-by") }) };
    case "watch": {
      const condition = readCondition(value, scene, inStep("`watch`"));
      return condition && { kind, condition, ifNot: inside("if-not") };
    }
    case "prohibit": {
      const condition = readCondition(value, scene, inStep("`prohibit`"));
      const end = scalarAt(node, "only-until");
      const until = readCondition(end, scene, inStep("`only-until`"));
      return condition && (!end || until) ? { kind, condition, ...present({ until }) } : undefined;
    }
    case "record":
      return plan.gauge === undefined ? undefined : { kind, gauge: plan.gauge };
    case "say":
      return { kind, lines: linesOf(verb.value) };
    case "section":
      return { kind, title: text, steps: inside("steps") };
    case "memory":
      return { kind, steps: inside("steps") };
    default:
      return unreachable(kind);
  }
}

function holdTime(node: StepPlan["node"], { report }: Scene): { milliseconds: number; upTo: boolean } | undefined {
  const written = scalarAt(node, "for");
  if (!written) return undefined;
  const upTo = written.text.startsWith("up to ");
  const milliseconds = timeOf(upTo ? written.text.slice("up to ".length) : written.text, written, report);
  return milliseconds === undefined ? undefined : { milliseconds, upTo };
}

function decideOf(
  { branches, verb }: StepPlan,
  scene: Scene,
  look: (at: ScalarNode | undefined) => ReturnType<typeof readCondition>,
  steps: Verbs["steps"],
): Verb | undefined {
  const complaint = wayAfterOtherwise(verb.value);
  if (complaint) return void scene.report(complaint);
  const ways = branches.map(({ node, plans, span }: Branch) => {
    const when = node && scalarAt(node, "when");
    const condition = look(when);
    return when && !condition ? undefined : { ...present({ condition }), steps: steps(plans), span };
  });
  const whole = ways.flatMap((way) => (way ? [way] : []));
  return whole.length === ways.length && ways.length > 0 ? { kind: "decide", ways: whole } : undefined;
}

function repeatOf(plan: StepPlan, { scene, steps }: Verbs): Verb | undefined {
  const { node } = plan;
  const complaint = twoEnds(node);
  if (complaint) return void scene.report(complaint);
  const written = scalarAt(node, "until");
  const until = readCondition(written, scene, inLook("`until`"));
  const times = wholeAt(node, "times", scene.report);
  const every = timeAt(node, "every", scene.report);
  const moves = gaugesMoved(node, scene);
  if ((written && !until) || (!until && times === undefined) || !moves) return undefined;
  return { kind: "repeat", steps: steps(plansIn(plan, "steps")), ...present({ until, times, every }), moves };
}

function linesOf(value: Node): { readonly who?: string; readonly text: string }[] {
  if (value.kind === "scalar") return [{ text: value.text }];
  const entries: readonly Entry[] = value.kind === "map" ? value.entries : [];
  return entries.flatMap(({ key, value: said }) =>
    said.kind === "scalar" ? [{ who: key.text, text: said.text }] : [],
  );
}
