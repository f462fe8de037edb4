import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Page } from "../layout/page.js";
import type { Purpose } from "../layout/piece.js";
import { type Check, cardsOf, type Inspected, placeOf, printingsOf } from "./context.js";
import { printed } from "./example.js";

const STEP = "  - do: Lift the third plate from aft and feel for rags around the strum box\n";

const CAUTION =
  "  - set: { pump: on }\n    caution: A dry pump is ruined in a minute. The strum box draws air long before the well is empty.\n";

export const STEP_ACROSS_PAGES: FindingKind = {
  code: "card/step-across-pages",
  severity: "warning",
  summary: "A step begins on one page and ends on the next.",
  why: "A reader who turns the page in the middle of a step does half of it. Each step stands whole on one page: based on NUREG-0899, as quoted elsewhere.",
  bad: printed("{ paper: 74 x 52 mm, binding: none }", STEP),
  good: printed("{ paper: A5 }", STEP),
};

export const CAUTION_PARTED: FindingKind = {
  code: "card/caution-parted",
  severity: "warning",
  summary: "A warning, caution or note does not stand on the page of its step.",
  why: "A caution that is read after a page turn is read too late. It stands directly before its step, with no page turn between: based on NUREG-0899, as quoted elsewhere.",
  bad: printed("{ paper: 110 x 74 mm, binding: none }", CAUTION),
  good: printed("{ paper: A5 }", CAUTION),
};

const OWN: readonly Purpose[] = ["challenge", "response", "text", "lamp", "number"];

/** P6: the lines of a step, measured by the pages on which they were drawn. */
export const checkStepsWhole: Check = (inspected) => {
  return eachStep(inspected, (pages, number) => {
    const on = pages.filter((page) => page.own);
    if (on.length < 2) return undefined;
    return {
      kind: STEP_ACROSS_PAGES,
      message: `the step is printed on pages ${number(on[0])} and ${number(on.at(-1))}`,
      help: "make it shorter or two steps, or print on a larger `paper`",
    };
  });
};

/** W9: what stands before a step, and its first line. */
export const checkAlertsTogether: Check = (inspected) => {
  return eachStep(inspected, (pages, number) => {
    const alerts = pages.filter((page) => page.alert);
    const own = pages.find((page) => page.own);
    if (alerts.length === 0 || !own || alerts.every((page) => page === own)) return undefined;
    return {
      kind: CAUTION_PARTED,
      message: `what stands before the step is printed on page ${number(alerts[0])}, and the step on page ${number(own)}`,
      help: "make the text shorter, or print on a larger `paper`",
    };
  });
};

interface OnPage {
  readonly page: number;
  readonly own: boolean;
  readonly alert: boolean;
}

type Complaint = { readonly kind: FindingKind; readonly message: string; readonly help: string } | undefined;

function eachStep(
  { program, pages }: Inspected,
  judge: (pages: readonly OnPage[], number: (page: OnPage | undefined) => number) => Complaint,
): readonly Finding[] {
  const printings = cardsOf(pages).flatMap((card) => printingsOf(pages, card).map((printing) => ({ card, printing })));
  return printings.flatMap(({ card, printing }) => {
    const steps = new Map<string, OnPage[]>();
    printing.forEach((page, index) => {
      for (const [step, on] of stepsOn(page, index)) steps.set(step, [...(steps.get(step) ?? []), on]);
    });
    return [...steps].flatMap(([step, on]) => {
      const complaint = judge(on, (page) => (page?.page ?? 0) + 1);
      const place = placeOf(program, card, step);
      return complaint && place
        ? [finding(complaint.kind, place.at, complaint.message, { help: [complaint.help], subject: place.subject })]
        : [];
    });
  });
}

function stepsOn(page: Page, index: number): ReadonlyMap<string, OnPage> {
  const steps = new Map<string, OnPage>();
  for (const { step, purpose } of page.contents) {
    if (step === undefined || purpose === "heading") continue;
    const known = steps.get(step) ?? { page: index, own: false, alert: false };
    steps.set(step, {
      page: index,
      own: known.own || OWN.includes(purpose),
      alert: known.alert || purpose === "alert",
    });
  }
  return steps;
}
