import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import type { Span } from "../../source/file.js";
import { example } from "../example.js";

const CRANK = "outside:\n  engine: { states: [still, turning], shown: shaft }";

export const CONDITION_NOT_HERE: FindingKind = {
  code: "condition/not-here",
  severity: "error",
  summary: "A condition says something that has no meaning where it stands.",
  why: "Equipment has no memory of what a crew has checked or done, real time has no upper bound, and a light without `lit-when` may read anything at each look: none of the three can decide what is so.",
  bad: example({ controls: "", system: "lights:\n  flood: { label: FLOOD, lit-when: done pumped }" }),
  good: example({ system: "lights:\n  flood: { label: FLOOD, lit-when: pump is on }" }),
};

export const CONDITION_SAYS_NOTHING: FindingKind = {
  code: "condition/says-nothing",
  severity: "error",
  summary: "A name stands where a condition is needed, without saying what of it.",
  why: "Only a named condition is true or false by its name; of everything else it must be said where it stands or what it reads.",
  bad: example({ system: `${CRANK}\nlights:\n  flood: { label: FLOOD, lit-when: engine }` }),
  good: example({ system: `${CRANK}\nlights:\n  flood: { label: FLOOD, lit-when: engine is turning }` }),
};

export const POSITION_UNKNOWN: FindingKind = {
  code: "position/unknown",
  severity: "error",
  summary: "A position, state, value or band that the thing does not have.",
  why: "A line that asks for a position which is not on the placard cannot be done.",
  bad: example({ steps: "- set: { pump: auto }" }),
  good: example({ steps: "- set: { pump: on }" }),
};

export function notHere(at: Span, message: string, help: string): Finding {
  return finding(CONDITION_NOT_HERE, at, message, { help: [help] });
}

export function saysNothing(name: string, at: Span, message: string, help: string): Finding {
  return finding(CONDITION_SAYS_NOTHING, at, message, { help: [help], subject: { thing: name } });
}

/** A value that `thing` does not have; `what` is what its values are: "position", "state", "band". */
export function unknownValue(value: string, at: Span, thing: string, what: string, values: readonly string[]): Finding {
  const near = suggest(value, values);
  const has = values.length === 0 ? `it has no ${what}` : `it has ${values.map((each) => `\`${each}\``).join(", ")}`;
  return finding(POSITION_UNKNOWN, at, `\`${thing}\` has no ${what} \`${value}\``, {
    ...(near === undefined ? {} : { remark: `did you mean \`${near}\`?`, edits: [{ at, text: near }] }),
    help: [has],
    subject: { thing },
  });
}
