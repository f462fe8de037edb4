import type { Finding } from "../diagnostics/finding.js";
import type { Project } from "../program/program.js";
import type { Document, MapNode } from "../syntax/tree.js";
import { timeAt } from "./numbers.js";
import { asMap, entriesAt, firstEntries, present, scalarsAt, textAt, valueAt } from "./read.js";

/** A person's time for a step where neither the step nor the project says one: from memory, no source, so each project may set its own. */
const STEP_TAKES = 3000;

const CATEGORIES = ["normal", "abnormal", "emergency"];

const SEVERITIES = ["error", "warning", "info", "off"] as const;

/** The project file's settings; the defaults where there is none. */
export function resolveProject(document: Document | undefined, report: (finding: Finding) => void): Project {
  if (!document)
    return { title: "", categories: CATEGORIES, stepTakes: STEP_TAKES, severities: new Map(), cards: CARDS };
  const { root, idSpan } = document;
  return {
    title: textAt(root, "title") ?? "",
    categories: [...new Set([...CATEGORIES, ...scalarsAt(root, "categories").map(({ text }) => text)])],
    stepTakes: timeAt(root, "step-takes", report) ?? STEP_TAKES,
    severities: severitiesOf(root),
    cards: cardsOf(root),
    ...present({ omission: omissionOf(root) }),
    span: idSpan,
  };
}

const CARDS = { paper: "A5", profile: "arm-length" };

function cardsOf(root: MapNode): Project["cards"] {
  const map = asMap(valueAt(root, "cards"));
  const given = (key: string) => map && textAt(map, key);
  return {
    ...CARDS,
    ...present({
      paper: given("paper"),
      profile: given("profile"),
      stock: given("stock"),
      binding: given("binding"),
      boxes: given("boxes"),
      sheet: given("sheet"),
      span: map?.span,
    }),
  };
}

function severitiesOf(root: MapNode): Project["severities"] {
  const severities = new Map<string, (typeof SEVERITIES)[number]>();
  for (const { key, value } of firstEntries(entriesAt(root, "findings"))) {
    const severity = value.kind === "scalar" ? SEVERITIES.find((each) => each === value.text) : undefined;
    if (severity) severities.set(key.text, severity);
  }
  return severities;
}

function omissionOf(root: MapNode): Project["omission"] {
  const map = asMap(valueAt(root, "omission"));
  const [short, long] = ["short", "long"].map((key) => Number((map && textAt(map, key)) ?? Number.NaN));
  return Number.isFinite(short) && Number.isFinite(long) ? { short: short!, long: long! } : undefined;
}
