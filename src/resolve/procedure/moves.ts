import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Move } from "../../program/procedure.js";
import { spanning } from "../../source/file.js";
import type { Entry, Node, ScalarNode } from "../../syntax/tree.js";
import { unknownValue } from "../condition/complaints.js";
import { example } from "../example.js";
import { whichSide } from "../names/complaints.js";
import { type Found, lookup, type Sought } from "../names/lookup.js";
import { called } from "../names/table.js";
import { allThere, firstEntries } from "../read.js";
import type { Scene } from "../scene.js";
import { movedTwice } from "./contradiction.js";

const MOTOR =
  "equipment:\n  motor:\n    label: Motor\n    shown: sound\n    states: [still, turning]\n    changes:\n      - { from: still, to: turning, when: pump is on, takes: 1 s to 3 s }\n      - { from: turning, to: still, when: pump is off }";

export const STEP_NOT_SETTABLE: FindingKind = {
  code: "step/not-settable",
  severity: "error",
  summary: "A step sets or verifies what the crew cannot set.",
  why: "To verify is to look, and to make it so where it is not (DOE-STD-1029-92 keeps the word for that); of what no hand can move a card can only `check`.",
  bad: example({ system: MOTOR, steps: "- set: { pump: on }\n- verify: { motor: turning }" }),
  good: example({
    system: MOTOR,
    steps: "- set: { pump: on }\n- check: motor is turning\n  if-not: { set-aside: Call the engineer. }",
  }),
};

export const POSITION_SPRUNG: FindingKind = {
  code: "position/sprung",
  severity: "error",
  summary: "A control is set to a position from which it springs back.",
  why: "It does not stay there when the hand leaves it, so the line promises what will not be so.",
  bad: example({ steps: "- set: { test: test }" }),
  good: example({ steps: "- press: { test: test }" }),
};

export const POSITION_NOT_SPRUNG: FindingKind = {
  code: "position/not-sprung",
  severity: "error",
  summary: "A control is pressed or held at a position at which it stays by itself.",
  why: "Press and hold end with letting go; at a position without a spring nothing happens then, and the reader is left holding it.",
  bad: example({ steps: "- press: { pump: on }" }),
  good: example({ steps: "- set: { pump: on }" }),
};

type MovingVerb = "set" | "verify" | "press" | "hold";

/** `{ breaker: open }` or a list of such pairs; undefined where any of them was reported. */
export function readMoves(value: Node, verb: MovingVerb, scene: Scene): readonly Move[] | undefined {
  const moves = entriesOf(value).map((entry) => readMove(entry, verb, scene));
  if (moves.length === 0 || !allThere(moves)) return undefined;
  const complaint = value.kind === "map" ? movedTwice(moves) : undefined;
  return complaint ? void scene.report(complaint) : moves;
}

function entriesOf(value: Node): readonly Entry[] {
  if (value.kind === "map") return firstEntries(value.entries);
  return value.kind === "list"
    ? value.items.flatMap((item) => (item.kind === "map" ? firstEntries(item.entries) : []))
    : [];
}

function readMove({ key, value }: Entry, verb: MovingVerb, scene: Scene): Move | undefined {
  const either = key.text.startsWith("either ");
  const written = either ? key.text.slice("either ".length).trim() : key.text;
  const found = lookup(written, key.span, scene, CONTROL);
  if (!found || value.kind !== "scalar") return undefined;
  const complaint = notSettable(found, key, verb) ?? oneOnly(found, key, either) ?? positionFault(found, value, verb);
  if (complaint) return void scene.report(complaint);
  if (found.members.some(({ family }) => !family.values.includes(value.text))) return undefined;
  const controls = found.members.map(({ id }) => id);
  return {
    choice: either ? "either" : "each",
    controls,
    written,
    position: value.text,
    span: spanning(key.span, value.span),
  };
}

const CONTROL: Sought = { what: "the name of a control", kinds: ["control"] };

function notSettable({ members }: Found, { text, span }: ScalarNode, verb: MovingVerb): Finding | undefined {
  const stranger = members.find(({ family }) => family.kind !== "control");
  if (!stranger) return undefined;
  const { kind, values } = stranger.family;
  const state = values[0] ?? "so";
  return finding(STEP_NOT_SETTABLE, span, `\`${text}\` is ${called(kind)}: the crew cannot ${verb} it`, {
    help: [
      kind === "outside"
        ? `\`ask\` for it, or \`check\` it`
        : `use \`check: ${stranger.id} is ${state}\` with an \`if-not\``,
    ],
    subject: { thing: stranger.id },
  });
}

function oneOnly({ members, single }: Found, { text, span }: ScalarNode, either: boolean): Finding | undefined {
  if (!either || (!single && members.length > 1)) return undefined;
  return whichSide(text, span, `\`${text}\` names one control, so there is nothing to choose`, ["leave `either` out"]);
}

/** The position is unknown, or sprung where it must stay, or stays where it must be let go. A control without positions is a hole. */
function positionFault({ members }: Found, { text, span }: ScalarNode, verb: MovingVerb): Finding | undefined {
  const stands = verb === "set" || verb === "verify";
  for (const { id, family } of members) {
    if (family.values.length === 0) continue;
    if (!family.values.includes(text)) return unknownValue(text, span, id, "position", family.values);
    const rest = family.springs.get(text);
    if (stands && rest !== undefined) return sprung(id, text, rest, span);
    if (!stands && rest === undefined) return notSprung(id, text, verb, span);
  }
  return undefined;
}

function sprung(control: string, position: string, rest: string, at: ScalarNode["span"]): Finding {
  return finding(POSITION_SPRUNG, at, `\`${control}\` springs back from \`${position}\` to \`${rest}\``, {
    help: ["`press` it, or `hold` it `while` something is done"],
    subject: { thing: control },
  });
}

function notSprung(control: string, position: string, verb: MovingVerb, at: ScalarNode["span"]): Finding {
  return finding(POSITION_NOT_SPRUNG, at, `\`${control}\` stays at \`${position}\`: there is nothing to ${verb}`, {
    help: ["`set` it, or name the spring under `springs` of the control"],
    subject: { thing: control },
  });
}
