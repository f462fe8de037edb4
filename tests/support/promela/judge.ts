import type { Rule } from "../../../src/program/rule.js";
import { type Cells, inWords, Unsupported } from "./words.js";

/** A rule as Promela: what it remembers from the moment 0 on, and how it judges each later moment. */
export interface Judge {
  readonly first: string;
  readonly later: string;
  /** What it is owed at a good end and at a set-aside: the word that is 1 where something is still owed. */
  readonly owed: boolean;
}

/**
 * From the table of rules in semantics: `p`, `q`, `r`, `a`, `b` are the rule's conditions at this moment, `p0` ... those at the moment
 * before, `sp` and `sq` within the scope, and `bad` is 1 at a moment at which the rule is broken.
 */
export function judgeOf(cells: Cells, rule: Rule): Judge {
  const { form, scope } = rule;
  if (rule.applies) throw new Unsupported("a rule of some fits");
  if (form.kind === "after" && form.within !== undefined) throw new Unsupported("a rule with a time");
  const read = [...conditionsOf(cells, rule), "sp = open && p", "sq = open && q"];
  const after = scope.onlyAfter !== undefined;
  const first = [
    ...read.slice(0, -2),
    `open = ${after ? "a" : "1"} && !b`,
    ...read.slice(-2),
    "held = sp; pending = sq && !p; owed = pending; count = 0",
  ];
  const opens = after ? ":: (!open && a && !a0 && !b) -> open = 1; opens = 1; held = 0; pending = 0; count = 0" : "";
  const later = [
    "sp0 = sp; sq0 = sq; r0 = r; a0 = a",
    ...read.slice(0, -2),
    `opens = 0; closes = 0; if :: (open && b) -> open = 0; closes = 1 ${opens} :: else -> skip fi`,
    ...read.slice(-2),
    BROKEN[form.kind](form.kind === "at-most" ? form.times : 0),
  ];
  const owed = form.kind === "after" && form.deadline === "end";
  return { first: first.join("; "), later: later.join("; "), owed };
}

const BROKEN: Readonly<Record<Rule["form"]["kind"], (times: number) => string>> = {
  never: () => "bad = sp && !sp0",
  always: () => "bad = sp && !sp0",
  when: () => "bad = sq && !sq0 && !p",
  while: () => "bad = sp && !sp0",
  before: () => "held = held || sp; bad = sq && !sq0 && !held",
  "at-most": (times) => `if :: (sq && !sq0) -> count++ :: else -> skip fi; bad = count > ${times}`,
  after: () =>
    "bad = pending && ((r && !r0) || closes) && !p; " +
    "if :: p || closes -> pending = 0 :: else -> if :: (sq && !sq0) -> pending = 1 " +
    ":: !(sq && !sq0) && (r && !r0) -> pending = 0 :: else -> skip fi fi",
};

/** The conditions at this moment. For `while` and `always`, `p` is what must not come true. */
function conditionsOf(cells: Cells, { form, scope }: Rule): string[] {
  const words = (condition: Parameters<typeof inWords>[1] | undefined, otherwise: string) =>
    condition ? inWords(cells, condition) : otherwise;
  const [p, q] = ((): [string, string] => {
    switch (form.kind) {
      case "never":
        return [words(form.condition, "0"), "0"];
      case "always":
        return [`!(${words(form.condition, "0")})`, "0"];
      case "while":
        return [`(${words(form.trigger, "0")}) && !(${words(form.condition, "0")})`, "0"];
      case "at-most":
        return ["0", words(form.trigger, "0")];
      case "after":
        return [words(form.condition, "0"), words(form.trigger, "1")];
      default:
        return [words(form.condition, "0"), words(form.trigger, "0")];
    }
  })();
  const r = form.kind === "after" && form.deadline !== "end" ? words(form.deadline, "0") : "0";
  return [
    `p = ${p}`,
    `q = ${q}`,
    `r = ${r}`,
    `a = ${words(scope.onlyAfter, "0")}`,
    `b = ${words(scope.onlyUntil, "0")}`,
  ];
}
