import type { FindingKind, Severity } from "../diagnostics/finding.js";
import { invariant } from "../invariant.js";
import { EXAMPLES } from "./examples.js";

function kind(code: string, severity: Severity, summary: string, why: string): FindingKind {
  const example = EXAMPLES.get(code);
  invariant(example, `${code} has no example`);
  return { code, severity, summary, why, ...example };
}

const PATTERN = "Named after the specification patterns of Dwyer, Avrunin and Corbett, 1999.";
const PRACTICE = "Common practice, no published source.";

export const ORDER_NEVER = kind(
  "order/never",
  "error",
  "What must never be so can come about.",
  `One way through the card, from one start, is enough for it to happen on watch. Absence. ${PATTERN}`,
);
export const ORDER_ALWAYS = kind(
  "order/always",
  "error",
  "What must always be so can cease to be so.",
  `What everything else relies on must not be let go by a line of the card. Universality. ${PATTERN}`,
);
export const ORDER_WHEN = kind(
  "order/when",
  "error",
  "Something can come about at a moment at which what it requires does not hold.",
  `An interlock that only the crew keeps: at the moment of the effect its condition must be there. ${PATTERN}`,
);
export const ORDER_WHILE = kind(
  "order/while",
  "error",
  "What must hold as long as something else is so can fail meanwhile.",
  `An interlock that lasts: what was made so at the start must not be undone too early. ${PATTERN}`,
);
export const ORDER_BEFORE = kind(
  "order/before",
  "error",
  "Something can come about before what must come first.",
  `A look or an act that comes after the fact is too late. Precedence. ${PATTERN}`,
);
export const ORDER_AFTER = kind(
  "order/after",
  "error",
  "What must follow something can be left undone.",
  `Whoever leaves a card early leaves things as they stand, so each way out puts right what it must. Response and existence. ${PATTERN}`,
);
export const ORDER_WITHIN = kind(
  "order/within",
  "error",
  "What must follow in time can come too late by the stated times.",
  `The times of the steps and waits in between add up to more than the rule allows. Timed response. ${PATTERN}`,
);
export const ORDER_AT_MOST = kind(
  "order/at-most",
  "error",
  "Something can happen more often than it may.",
  `A loop, or a line that comes twice, adds up. Bounded existence. ${PATTERN}`,
);
export const ORDER_ALREADY = kind(
  "order/already-so",
  "warning",
  "What the last crew left can break a rule before anything is done.",
  `A card starts from whatever it finds, unless \`begins\` says otherwise. No step is to blame, so a crew that follows the card may never notice. ${PRACTICE}`,
);
export const ORDER_IDLE = kind(
  "order/idle",
  "info",
  "Nothing that sets off this rule can change in any procedure it is for.",
  "A rule that can never be broken protects nothing; often it names another thing than was meant.",
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
  `A crew that is told to expect a lamp takes the dark one for a failure, or learns to overlook it. ${PRACTICE}`,
);
export const OBSERVE_SURPLUS = kind(
  "observe/surplus",
  "error",
  "A light that the card does not expect can be lit.",
  `A lamp that is lit and not on the list looks like a fault where all is well. ${PRACTICE}`,
);
export const OBSERVE_COUNT = kind(
  "observe/count",
  "error",
  "The number of lights of a colour can differ from the number on the card.",
  `Crews count lights rather than read them: with a wrong count a failed lamp goes unseen. ${PRACTICE}`,
);
export const GUARD_CLOSED = kind(
  "guard/closed",
  "error",
  "A control is moved away from under its closed guard.",
  `A guard is opened by a line of its own, so that the hand stops there once. ${PRACTICE}`,
);
export const SYSTEM_CONFLICT = kind(
  "system/conflict",
  "error",
  "Two changes of one piece of equipment can happen at once and lead to different states.",
  "The model does not say which comes, and only one of them is true of the equipment.",
);
export const SYSTEM_RACE = kind(
  "system/race",
  "error",
  "Where the equipment settles depends on which of several changes comes first.",
  "What depends on chance cannot be proved: on another day the same step ends elsewhere.",
);
export const SYSTEM_UNSETTLED = kind(
  "system/never-settles",
  "error",
  "The equipment can change for ever without coming to rest.",
  "The model describes nothing that a crew could look at; what follows on that path is not judged.",
);
export const WAITS_FOR_EVER = kind(
  "flow/waits-for-ever",
  "error",
  "A step can wait for something that cannot come any more.",
  `A wait without a way out is a trap: the card says neither how long nor what then. ${PRACTICE}`,
);
export const NEVER_ENDS = kind(
  "flow/never-ends",
  "error",
  "A loop can come to where nothing leads out of it.",
  "A repeated step says what ends it (DOE-STD-1029-92, quoted); something inside must be able to bring that about.",
);
export const FLOW_GAP = kind(
  "flow/gap",
  "error",
  "A decision has no way for some case that can come up.",
  "Every branch ends in an end mark or a named exit (DOE-STD-1029-92, quoted); in this case the crew has no line to go on with.",
);
export const FLOW_NEEDS = kind(
  "flow/needs",
  "error",
  "A step can be come to without what it needs.",
  `What a step relies on is made so, or looked at, on every path that leads to it. ${PRACTICE}`,
);
export const FLOW_BEGINS = kind(
  "flow/begins",
  "error",
  "A procedure can be performed, or gone to, without what it takes for granted.",
  `What it takes for granted it does not look at: its own proof is worth nothing from another start. ${PRACTICE}`,
);
export const FLOW_HAND_OVER = kind(
  "flow/hand-over",
  "error",
  "This card can end without what the next one takes for granted.",
  `What one card leaves is what the next one begins with, and nobody looks in between. ${PRACTICE}`,
);
export const FLOW_PROMISE = kind(
  "flow/promise",
  "error",
  "The card can be finished without what its `ends` promises.",
  `Whoever reads "finished" relies on the promise. A set-aside owes none. ${PRACTICE}`,
);
export const NO_START = kind(
  "flow/no-start",
  "error",
  "Nothing that a member of the fleet can stand at satisfies what the card takes for granted.",
  "Such a card proves nothing there, whatever it says.",
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
  "A check that cannot fail looks like protection and is none in the model; it may be wanted as a second look.",
);
export const NO_EFFECT = kind(
  "flow/no-effect",
  "info",
  "A control is set to where it always stands already.",
  "It costs a line and does nothing in the model; it may be wanted as a second look.",
);
export const LANES_HELD = kind(
  "lanes/held",
  "error",
  "One person moves a control that another holds.",
  `Two hands on one control: one of them lets go, or waits. ${PRACTICE}`,
);
export const CANNOT_SEE = kind(
  "view/cannot-see",
  "warning",
  "A line decides by what the crew cannot see.",
  "A check compares with a stated value (DOE-STD-1029-92, read), and the crew must be able to read off the other side.",
);
export const PROHIBIT_BROKEN = kind(
  "prohibit/broken",
  "error",
  "A later step can do what was prohibited.",
  `Pages later the line stands there and the prohibition does not: the card itself must leave the line out. ${PRACTICE}`,
);
export const PROHIBIT_ALREADY = kind(
  "prohibit/already-so",
  "info",
  "What is prohibited can be so already.",
  `A prohibition forbids to bring a thing about; it does not end it. ${PRACTICE}`,
);
export const COVER_GAP = kind(
  "cover/gap",
  "error",
  "A light of a set that the card claims to test is not seen lit, or not seen out, on every path.",
  `A lamp that nobody has seen change may be burnt out, or stuck on. ${PRACTICE}`,
);
export const DUTY_ON = kind(
  "duty/on",
  "error",
  "A sprung position can be held longer than its duty allows.",
  `What it drives overheats. ${PRACTICE}`,
);
export const DUTY_REST = kind(
  "duty/rest",
  "error",
  "A sprung position can be taken again before its rest is over.",
  `What it drives has not cooled down yet. ${PRACTICE}`,
);
export const DUTY_TRIES = kind(
  "duty/tries",
  "error",
  "A sprung position can be taken more often than its duty allows.",
  `After that many tries something else is wrong, and one more does harm. ${PRACTICE}`,
);

/** Raised by a limit that was hit, and by no text: the one kind without an example. */
export const UNPROVED: FindingKind = {
  code: "prove/unproved",
  severity: "warning",
  summary: "A question was not answered within its limits: it is unproved.",
  why: "A limit that was hit is never a proof. More time (`--time-limit`) or a smaller model may answer it. No text raises this by itself, so it has no example.",
  bad: {},
  good: {},
};

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
