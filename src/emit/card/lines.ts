import { unreachable } from "../../invariant.js";
import type { Move, Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import type { Line, Reference } from "./content.js";
import { observeLines } from "./lamps.js";
import { capitals, durationOf, joinNames, nameOf, placardOf } from "./names.js";
import { capitalised, pairsOf, sentenceOf, type Words } from "./wording.js";

/** What the lines of a card are made from. */
export interface LineSource extends Words {
  readonly reference: (procedure: string) => Reference;
  readonly markOf: (role: string) => string;
}

type Pair = Extract<Line, { kind: "pair" }>;

/** The printed lines of a step itself, what hangs from it apart. The author's own `words` come before the derived ones. */
export function linesOf(source: LineSource, step: Step): readonly Line[] {
  const derived = derivedLines(source, step);
  const words = step.words;
  if (!words) return derived;
  const own: Line = "text" in words ? { kind: "plain", text: words.text } : pair(words.challenge, words.response);
  return [own, ...derived.filter((line) => !isProse(line))];
}

/** Lines that the author's words stand in for; room to write, lamps and jumps stay. */
function isProse(line: Line): boolean {
  return line.kind === "pair" || line.kind === "plain" || line.kind === "speech";
}

function derivedLines(source: LineSource, step: Step): readonly Line[] {
  const { system } = source;
  switch (step.kind) {
    case "set":
      return movePairs(system, step.moves, step.atOnce, (placard) => placard);
    case "verify":
      return movePairs(system, step.moves, step.atOnce, (placard) => placard).map((line) => ({
        ...line,
        lead: "verify",
      }));
    case "press":
      return movePairs(system, step.moves, true, (placard, move) => pressWords(system, placard, move, step.times));
    case "hold":
      return movePairs(
        system,
        step.moves,
        true,
        (placard, move) => `${holdWords(system, placard, move)}${holdTime(step.for)}`,
      );
    case "check":
      return pairsOf(source, step.condition).map(({ challenge, response }) => ({
        ...pair(challenge, response),
        lead: "check",
      }));
    case "observe":
      return observeLines(source, step);
    case "wait":
      return [pair("Wait", durationOf(step.milliseconds)), ...timer("Over", step.milliseconds)];
    case "wait-for":
      return waitForLines(source, step);
    case "ask":
      return [pair(`Ask ${step.of}: ${nameOf(system, step.outside)}`, capitals(step.state))];
    case "perform":
      return step.target.kind === "procedure"
        ? [{ kind: "jump", word: "Do", to: source.reference(step.target.id) }]
        : [];
    case "go-to":
      return [{ kind: "jump", word: "Go to", to: source.reference(step.procedure) }];
    case "finish":
      return [{ kind: "end", good: true, word: "END", text: step.text ?? "" }];
    case "set-aside":
      return [{ kind: "end", good: false, word: "SET CARD ASIDE", text: step.text }];
    case "pause":
      return [{ kind: "pause", text: pauseText(step) }];
    case "watch":
      return [{ kind: "standing", word: "From here on, watch", text: sentenceOf(source, step.condition) }];
    case "prohibit":
      return [{ kind: "standing", word: "From here on, never", text: prohibition(source, step) }];
    case "record":
      return [
        { kind: "blank", challenge: nameOf(system, step.gauge), unit: system.gauges.get(step.gauge)?.unit ?? "" },
      ];
    case "sign":
      return [{ kind: "blank", challenge: step.text ?? "Initials", unit: "" }];
    case "say":
      return step.lines.map((line) => speech(source, line));
    case "do":
      return [{ kind: "plain", text: step.text }];
    case "choose":
      return [{ kind: "plain", text: `${step.title ?? "Choose one of these"}:` }];
    case "if":
    case "decide":
    case "repeat":
    case "together":
    case "section":
    case "memory":
      return [];
    default:
      return unreachable(step);
  }
}

/** What must not become so, as a clause after "never". */
export function prohibition(source: Words, step: Step & { readonly kind: "prohibit" }): string {
  const until = step.until ? `, until ${sentenceOf(source, step.until)}` : "";
  return `${sentenceOf(source, step.condition)}${until}`;
}

export function pair(challenge: string, response: string): Pair {
  return { kind: "pair", challenge: capitalised(challenge), response, joined: false };
}

/** One line for all that go to the same position at once; else a line each, the later ones joined where they go at once. */
function movePairs(
  system: System,
  moves: readonly Move[],
  atOnce: boolean,
  respond: (placard: string, move: Move) => string,
): readonly Pair[] {
  const lines = moves.map((move) => pair(moveNames(system, move), respond(placard(system, move), move)));
  const [first] = lines;
  if (!atOnce || !first) return lines;
  const plain = moves.every((move) => move.choice === "each");
  if (plain && lines.every((line) => line.response === first.response)) {
    return [
      pair(
        joinNames(
          system,
          moves.flatMap((move) => move.controls),
          "and",
        ),
        first.response,
      ),
    ];
  }
  return lines.map((line, index) => ({ ...line, joined: index > 0 }));
}

function moveNames(system: System, move: Move): string {
  const either = move.choice === "either" && move.controls.length > 1;
  return either ? `Either ${joinNames(system, move.controls, "or")}` : joinNames(system, move.controls, "and");
}

function placard(system: System, move: Move): string {
  return placardOf(system, move.controls[0] ?? "", move.position);
}

/** A two-way button is pressed; on a switch with more positions it matters which one. */
function pressWords(system: System, placard: string, move: Move, times: number): string {
  const positions = system.controls.get(move.controls[0] ?? "")?.positions.length ?? 2;
  const often = times === 1 ? "" : times === 2 ? " twice" : ` ${times} times`;
  return positions === 2 ? `PRESS${often}` : `${placard}${often}, then LET GO`;
}

/** `HOLD` alone where the placard only repeats the label. */
function holdWords(system: System, placard: string, move: Move): string {
  const label = system.controls.get(move.controls[0] ?? "")?.label ?? "";
  return placard.toUpperCase() === label.toUpperCase() ? "HOLD" : `HOLD ${placard}`;
}

function holdTime(time: (Step & { kind: "hold" })["for"]): string {
  if (!time) return "";
  return time.upTo ? `, ${durationOf(time.milliseconds)} at most` : `, ${durationOf(time.milliseconds)}`;
}

function waitForLines(source: LineSource, step: Step & { kind: "wait-for" }): readonly Line[] {
  const short = step.within !== undefined && step.within < WRITABLE ? ` up to ${durationOf(step.within)}` : "";
  const pairs = pairsOf(source, step.condition);
  const times = timer("Latest", step.within);
  if (pairs.some(({ response }) => response === "YES")) {
    return [{ kind: "plain", text: `Wait${short} until ${sentenceOf(source, step.condition)}` }, ...times];
  }
  const lines = pairs.map(({ challenge, response }, index): Line => {
    return { ...pair(`${index === 0 ? `Wait${short} for ` : ""}${challenge}`, response), joined: index > 0 };
  });
  return [...lines, ...times];
}

/** Nobody writes times down that are seconds apart. */
const WRITABLE = 60_000;

function timer(end: "Over" | "Latest", milliseconds: number | undefined): readonly Line[] {
  return milliseconds === undefined || milliseconds < WRITABLE
    ? []
    : [{ kind: "timer", end, span: durationOf(milliseconds) }];
}

function pauseText(step: Step & { kind: "pause" }): string {
  const released = step.releasedBy ? `Released by ${step.releasedBy}.` : "";
  return [step.text ?? "", released, "On resuming, repeat the line before this mark."].filter(Boolean).join(" ");
}

function speech(source: LineSource, line: { readonly who?: string; readonly text: string }): Line {
  return { kind: "speech", ...(line.who ? { who: source.markOf(line.who) } : {}), text: line.text };
}
