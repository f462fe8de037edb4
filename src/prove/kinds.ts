import type { FindingKind, Severity } from "../diagnostics/finding.js";
import { EXAMPLES } from "./examples.js";

function kind(code: string, severity: Severity, summary: string, why: string): FindingKind {
  const example = EXAMPLES.get(code) ?? { bad: {}, good: {} };
  return { code, severity, summary, why, ...example };
}

const PATTERN = "Named after the specification patterns of Dwyer, Avrunin and Corbett, 1999.";
const PRACTICE = "Common practice, no published source.";

export const ORDER_NEVER = kind("order/never", "error", "What must never be so can come about.", `Absence. ${PATTERN}`);
export const ORDER_ALWAYS = kind(
  "order/always",
  "error",
  "What must always be so can cease.",
  `Universality. ${PATTERN}`,
);
export const ORDER_WHEN = kind(
  "order/when",
  "error",
  "Something can come about at a moment at which what it requires does not hold.",
  `An interlock: the effect waits for its condition. ${PATTERN}`,
);
export const ORDER_WHILE = kind(
  "order/while",
  "error",
  "What must hold as long as something else is so can fail meanwhile.",
  `An interlock. ${PATTERN}`,
);
export const ORDER_BEFORE = kind(
  "order/before",
  "error",
  "Something can come about before what must come first.",
  `Precedence. ${PATTERN}`,
);
export const ORDER_AFTER = kind(
  "order/after",
  "error",
  "What must follow something can be left undone.",
  `Response and existence. ${PATTERN}`,
);
export const ORDER_WITHIN = kind(
  "order/within",
  "error",
  "What must follow in time can come too late by the stated times.",
  `Timed response. ${PATTERN}`,
);
export const ORDER_AT_MOST = kind(
  "order/at-most",
  "error",
  "Something can happen more often than it may.",
  `Bounded existence. ${PATTERN}`,
);
export const ORDER_ALREADY = kind(
  "order/already-so",
  "warning",
  "What the last crew left can break a rule before anything is done.",
  `A card starts from whatever it finds. ${PRACTICE}`,
);
export const ORDER_IDLE = kind(
  "order/idle",
  "info",
  "Nothing that sets off this rule can change in any procedure it is for.",
  "A rule that can never be broken protects nothing.",
);
export const RULE_ORDER = new Map([
  ["never", ORDER_NEVER],
  ["always", ORDER_ALWAYS],
  ["when", ORDER_WHEN],
  ["while", ORDER_WHILE],
  ["before", ORDER_BEFORE],
  ["after", ORDER_AFTER],
  ["at-most", ORDER_AT_MOST],
]);

export const OBSERVE_MISSING = kind(
  "observe/missing",
  "error",
  "A light that the card expects lit can be out.",
  `A test of lights is worth its list. ${PRACTICE}`,
);
export const OBSERVE_SURPLUS = kind(
  "observe/surplus",
  "error",
  "A light that the card does not expect can be lit.",
  `A test of lights is worth its list. ${PRACTICE}`,
);
export const OBSERVE_COUNT = kind(
  "observe/count",
  "error",
  "The count of lights of a colour differs from the card's.",
  `Crews count lights rather than read them. ${PRACTICE}`,
);
export const GUARD_CLOSED = kind(
  "guard/closed",
  "error",
  "A control is moved away from under its closed guard.",
  `A guard is opened by a line of its own. ${PRACTICE}`,
);
export const SYSTEM_CONFLICT = kind(
  "system/conflict",
  "error",
  "Two changes of one piece of equipment can fire at once with different targets.",
  "The model does not say which comes.",
);
export const SYSTEM_RACE = kind(
  "system/race",
  "error",
  "Where the equipment settles depends on which of several changes comes first.",
  "What depends on chance cannot be proved.",
);
export const SYSTEM_UNSETTLED = kind(
  "system/never-settles",
  "error",
  "The equipment can change for ever without coming to rest.",
  "The model describes nothing that a crew could look at.",
);
export const WAITS_FOR_EVER = kind(
  "flow/waits-for-ever",
  "error",
  "A step can wait for something that cannot come any more.",
  `A wait without a way out is a trap. ${PRACTICE}`,
);
export const NEVER_ENDS = kind(
  "flow/never-ends",
  "error",
  "A loop can come to where nothing leads out of it.",
  `A repeated step says what ends it. DOE-STD-1029-92, quoted.`,
);
export const FLOW_GAP = kind(
  "flow/gap",
  "error",
  "A decision has no way for some case that can come up.",
  `Every branch ends in an end mark or a named exit. DOE-STD-1029-92, quoted.`,
);
export const FLOW_NEEDS = kind(
  "flow/needs",
  "error",
  "What a step needs does not hold whenever it is come to.",
  PRACTICE,
);
export const FLOW_BEGINS = kind(
  "flow/begins",
  "error",
  "What a performed procedure takes for granted does not hold.",
  PRACTICE,
);
export const FLOW_HAND_OVER = kind(
  "flow/hand-over",
  "error",
  "What the next procedure takes for granted is not what this one leaves.",
  "What one card leaves is what the next one takes for granted.",
);
export const FLOW_PROMISE = kind(
  "flow/promise",
  "error",
  "A promise of `ends` can be broken at the end of the card.",
  PRACTICE,
);
export const NO_START = kind(
  "flow/no-start",
  "error",
  "No state of this member of the fleet satisfies what the card takes for granted.",
  "Such a card proves nothing, whatever it says.",
);
export const NEVER_REACHED = kind(
  "flow/never-reached",
  "info",
  "No path comes to this step.",
  "A line that is never read hides what was meant.",
);
export const NEVER_TAKEN = kind(
  "flow/never-taken",
  "info",
  "A check cannot fail.",
  "A check that cannot fail looks like protection and is none; it may be wanted as a second look.",
);
export const NO_EFFECT = kind(
  "flow/no-effect",
  "info",
  "A control is set where it always stands already.",
  "It may be wanted as a second look.",
);
export const LANES_HELD = kind("lanes/held", "error", "One person moves a control that another holds.", PRACTICE);
export const CANNOT_SEE = kind(
  "view/cannot-see",
  "warning",
  "A line decides by what the crew cannot see.",
  `A check compares with a stated value. DOE-STD-1029-92, read.`,
);
export const PROHIBIT_BROKEN = kind("prohibit/broken", "error", "A later step does what was prohibited.", PRACTICE);
export const PROHIBIT_ALREADY = kind("prohibit/already-so", "info", "What is prohibited is so already.", PRACTICE);
export const COVER_GAP = kind(
  "cover/gap",
  "error",
  "A light of a set that the card claims to test is not seen lit, or not seen out, on every path.",
  `A test of a warning system exercises every light of it. ${PRACTICE}`,
);
export const DUTY_ON = kind("duty/on", "error", "A sprung position can be held longer than its duty allows.", PRACTICE);
export const DUTY_REST = kind(
  "duty/rest",
  "error",
  "A sprung position can be taken again before its rest is over.",
  PRACTICE,
);
export const DUTY_TRIES = kind(
  "duty/tries",
  "error",
  "A sprung position can be taken more often than its duty allows.",
  PRACTICE,
);
export const UNPROVED = kind(
  "prove/unproved",
  "warning",
  "A question was not answered within its limits: it is unproved.",
  "A limit that was hit is never a proof.",
);

export const PROVE_KINDS: readonly FindingKind[] = [
  ...RULE_ORDER.values(),
  ORDER_WITHIN,
  ORDER_ALREADY,
  ORDER_IDLE,
  OBSERVE_MISSING,
  OBSERVE_SURPLUS,
  OBSERVE_COUNT,
  GUARD_CLOSED,
  SYSTEM_CONFLICT,
  SYSTEM_RACE,
  SYSTEM_UNSETTLED,
  WAITS_FOR_EVER,
  NEVER_ENDS,
  FLOW_GAP,
  FLOW_NEEDS,
  FLOW_BEGINS,
  FLOW_HAND_OVER,
  FLOW_PROMISE,
  NO_START,
  NEVER_REACHED,
  NEVER_TAKEN,
  NO_EFFECT,
  LANES_HELD,
  CANNOT_SEE,
  PROHIBIT_BROKEN,
  PROHIBIT_ALREADY,
  COVER_GAP,
  DUTY_ON,
  DUTY_REST,
  DUTY_TRIES,
  UNPROVED,
];
