import type { Move, Step } from "../../program/procedure.js";
import { durationOf, joinNames, joinWords, nameOf, placardOf } from "../card/names.js";
import { capitalised, sentenceOf, type Words } from "../card/wording.js";

/** The text of a step that is one shape, in paragraphs; of a step with inner steps, the text of its first shape. */
export function textOf(words: Words, step: Step): readonly string[] {
  if (step.words) return ["text" in step.words ? step.words.text : `${step.words.challenge}: ${step.words.response}`];
  switch (step.kind) {
    case "set":
      return step.moves.map((move) => moveText(words, move));
    case "verify":
      return listed(
        "Verify",
        step.moves.map((move) => moveText(words, move)),
      );
    case "press":
      return step.moves.map((move) => `Press ${moveText(words, move)}${step.times > 1 ? `, ${step.times} times` : ""}`);
    case "hold":
      return step.moves.map((move) => `Hold ${moveText(words, move)}${holdTime(step.for)}`);
    case "observe":
      return observeText(words, step);
    case "check":
      return [`Check: ${sentenceOf(words, step.condition)}`];
    case "wait":
      return [`Wait ${durationOf(step.milliseconds)}`];
    case "wait-for":
      return [`Wait until ${sentenceOf(words, step.condition)}`];
    case "ask":
      return [`Ask ${step.of}: ${nameOf(words.system, step.outside)} ${step.state}`];
    case "pause":
      return [
        `Hold point${step.text ? `: ${step.text}` : ""}`,
        ...(step.releasedBy ? [`Released by ${step.releasedBy}`] : []),
      ];
    case "watch":
      return [`From here on, watch: ${sentenceOf(words, step.condition)}`];
    case "prohibit":
      return [`From here on, never: ${sentenceOf(words, step.condition)}`, ...until(words, step)];
    case "record":
      return [`Write down ${nameOf(words.system, step.gauge)}`];
    case "sign":
      return [step.text ? `Initials: ${step.text}` : "Initials"];
    case "say":
      return step.lines.map((line) =>
        line.who ? `${capitalised(line.who)} says: “${line.text}”` : `Say: “${line.text}”`,
      );
    case "do":
      return [step.text];
    case "choose":
      return [step.title ?? "Choose one"];
    case "finish":
      return [step.text ? `Finish: ${step.text}` : "Finish"];
    case "set-aside":
      return [`Set aside: ${step.text}`];
    default:
      return [];
  }
}

/** `ENGINE`: what is let go when a hold is over. */
export function letGoText(words: Words, moves: readonly Move[]): string {
  return `Let go ${joinWords(
    moves.map((move) => joinNames(words.system, move.controls, "and")),
    "and",
  )}`;
}

function moveText(words: Words, move: Move): string {
  const names = joinNames(words.system, move.controls, move.choice === "either" ? "or" : "and");
  return `${names}: ${placardOf(words.system, move.controls[0] ?? "", move.position)}`;
}

function listed(verb: string, things: readonly string[]): readonly string[] {
  return things.length === 1 ? [`${verb} ${things[0]}`] : [`${verb}:`, ...things];
}

function holdTime(time: { readonly milliseconds: number; readonly upTo: boolean } | undefined): string {
  return time ? `, ${time.upTo ? "up to " : ""}${durationOf(time.milliseconds)}` : "";
}

function until(words: Words, step: Step & { kind: "prohibit" }): string[] {
  return step.until ? [`Until ${sentenceOf(words, step.until)}`] : [];
}

function observeText(words: Words, step: Step & { kind: "observe" }): readonly string[] {
  const { system } = words;
  const title = step.set
    ? (system.lightSets.get(step.set)?.label ?? step.set)
    : step.lights.map((light) => nameOf(system, light)).join(", ");
  if (step.lit.length === 0) return [`Observe ${title}: ${step.lights.length > 1 ? "all out" : "out"}`];
  const cases = new Map<string, string[]>();
  for (const expected of step.lit) {
    const when = expected.when ? sentenceOf(words, expected.when) : "";
    cases.set(when, [...(cases.get(when) ?? []), nameOf(system, expected.light)]);
  }
  const lit = [...cases].map(([when, lights]) => `Lit${when ? ` if ${when}` : ""}: ${lights.join(", ")}`);
  return [`Observe ${title}`, ...lit];
}
