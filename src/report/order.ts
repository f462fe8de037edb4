import { unreachable } from "../invariant.js";
import { type Paint, paint } from "./paint.js";
import { CAUTION } from "./report.js";
import { harmless, padded, widthOf } from "./width.js";

/** The way of hand and eye of one person. */
export interface OrderWay {
  /** To another panel. */
  readonly moves: number;
  /** Of these, back to a panel that was left before. */
  readonly returns: number;
  /** Between areas, which share no measures. */
  readonly walks: number;
  /** Absent where places are missing. */
  readonly millimetres?: number;
}

export interface OrderLine {
  /** As printed on the card. */
  readonly number: string;
  readonly name: string;
  readonly text: string;
  /** Titles of the panels that it is done on. */
  readonly panels: readonly string[];
  readonly critical: boolean;
  /** True where there is another line that it could change places with. */
  readonly free: boolean;
  /** Title of the section that it stands in. */
  readonly section?: string;
  /** The paragraph of the baseline that it stands for. */
  readonly ref?: string;
  /** Why it stays where it is, in words that follow its number; absent: it may move. */
  readonly fixed?: string;
}

/** Two lines that keep their order, by their places in `lines`. */
export interface OrderTie {
  readonly first: number;
  readonly second: number;
  readonly because: string;
  /** The code of what is found where they are exchanged; absent where the model alone keeps them in order. */
  readonly code?: string;
}

/** What `proofcard order` has found of one procedure. */
export interface OrderReport {
  readonly project: string;
  readonly procedure: string;
  readonly title: string;
  readonly file: string;
  /** In the order of the card. */
  readonly lines: readonly OrderLine[];
  /** In the order of the card; `lines` are names, `fixed` is why the section as a whole stays where it is. */
  readonly sections: readonly { readonly title: string; readonly lines: readonly string[]; readonly fixed?: string }[];
  /** Places in `lines`, in the order proposed; 0, 1, 2 ... where the present one is not bettered. */
  readonly order: readonly number[];
  readonly ways: readonly { readonly who: string; readonly before: OrderWay; readonly after: OrderWay }[];
  readonly ties: readonly OrderTie[];
  /**
   * `all-tried`: every shorter order was tried and breaks something. `exact`: none that keeps what depends on what is shorter. `open`: not
   * known.
   */
  readonly optimal: "all-tried" | "exact" | "open";
  /** False where the time was up. */
  readonly finished: boolean;
  /** Orders that were proved. */
  readonly tried: number;
}

/** The report for a terminal: now and then, line by line, and what keeps the rest. */
export function renderOrder(report: OrderReport, { colour }: { readonly colour: boolean }): string {
  const ink = paint(colour);
  const lines = [
    ink.strong(harmless(`${report.title} (${report.procedure})`)),
    ...wayLines(report),
    "",
    ...verdictLines(report),
    "",
    ...(isChanged(report) ? [...orderLines(report, ink), ""] : []),
    ...tieLines(report),
    ...fixedLines(report),
    ...adviceLines(report),
    CAUTION,
  ];
  return `${lines.join("\n")}\n`;
}

/** The same for a machine. `format` counts up when a reader of the one before would break. */
export function renderOrderJson(report: OrderReport, version: string): string {
  const { lines, ties, order, ...rest } = report;
  const name = (index: number) => lines[index]?.name;
  const document = {
    format: 1,
    tool: { name: "proofcard", version },
    caution: CAUTION,
    ...rest,
    shorter: isChanged(report),
    lines,
    order: order.map(name),
    moved: movedOf(order).map(name),
    ties: ties.map(({ first, second, ...tie }) => ({ first: name(first), second: name(second), ...tie })),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function isChanged({ order }: OrderReport): boolean {
  return order.some((line, index) => line !== index);
}

function wayLines(report: OrderReport): readonly string[] {
  return report.ways.flatMap(({ who, before, after }) => {
    const name = who ? `${harmless(who)}: ` : "";
    if (!isChanged(report)) return [`  ${name}${wayText(before)}`];
    return [`  ${name}now   ${wayText(before)}`, `  ${" ".repeat(widthOf(name))}then  ${wayText(after)}`];
  });
}

function wayText({ moves, returns, walks, millimetres }: OrderWay): string {
  const kinds = [
    ...(returns > 0 ? [`${returns} back to one left before`] : []),
    ...(walks > 0 ? [`${walks} to another area`] : []),
  ];
  return [
    `${counted(moves, "move")} between panels${kinds.length > 0 ? ` (${kinds.join(", ")})` : ""}`,
    millimetres === undefined ? "no length, since places are missing" : `${thousands(millimetres)} mm`,
  ].join(", ");
}

function verdictLines(report: OrderReport): readonly string[] {
  const { lines, finished } = report;
  if (!lines.some(({ free }) => free)) return ["No line can change places with another."];
  const first = isChanged(report)
    ? "A shorter order keeps every rule, promise, check and observation."
    : finished
      ? shortestText(report)
      : "No shorter order was found in the time.";
  const critical = lines.some((line) => line.critical && line.free)
    ? ["Critical lines come as early as they can, before any saving of way."]
    : [];
  return [first, optimalText(report), ...critical];
}

function shortestText({ ways }: OrderReport): string {
  if (ways.some(({ before }) => before.millimetres !== undefined)) return "The present order is already the shortest.";
  return "No order has fewer moves between panels. How long they are is not known, since places are missing.";
}

/** Never says more than is known. */
function optimalText({ optimal, finished, tried, ties }: OrderReport): string {
  const proved = tried === 0 ? "no order had to be proved" : `${counted(tried, "order")} proved in full, on every tail`;
  if (!finished) return `The time was up: there may be a shorter one (${proved}).`;
  switch (optimal) {
    case "all-tried":
      return ties.some(({ code }) => code)
        ? `Optimal: of the orders that keep what the model ties together, each shorter one was tried and breaks something (${proved}).`
        : `Optimal: no order that keeps what the model ties together is shorter (${proved}).`;
    case "exact":
      return `Optimal over the pairs named below, solved exactly (${proved}); orders that exchange several of the pairs that the prover found, at once, were not all tried.`;
    case "open":
      return `Not shown to be optimal (${proved}).`;
    default:
      return unreachable(optimal);
  }
}

function orderLines({ lines, order }: OrderReport, ink: Paint): readonly string[] {
  const moved = new Set(movedOf(order));
  const width = Math.max(4, ...lines.map(({ number }) => widthOf(number) + 1));
  const texts = Math.min(56, Math.max(...lines.map(({ text }) => widthOf(harmless(text)))));
  return [
    ink.dim("  now"),
    ...order.flatMap((index, place) => {
      const { number, text, panels, section } = lines[index]!;
      const isFirst = section !== undefined && lines[order[place - 1] ?? -1]?.section !== section;
      const heading = isFirst ? [ink.dim(`  ${harmless(section)}`)] : [];
      const mark = moved.has(index) ? ">" : " ";
      const shown = shortened(harmless(text), texts);
      const line = `${mark} ${padded(number, width)}${padded(shown, texts)}  ${harmless(panels.join(", "))}`.trimEnd();
      return [...heading, moved.has(index) ? ink.strong(line) : line];
    }),
    ink.dim(`  > moves (${counted(moved.size, "line")}); the number is that of the present card`),
  ];
}

function tieLines({ lines, ties }: OrderReport): readonly string[] {
  if (ties.length === 0) return [];
  const number = (index: number) => lines[index]!.number;
  const pairs = ties.map(({ first, second }) => `${number(first)} before ${number(second)}`);
  const width = Math.max(...pairs.map(widthOf));
  return [
    "What keeps its order, and why",
    ...ties.map(
      ({ because, code }, index) =>
        `  ${padded(pairs[index]!, width)}  ${harmless(because)}${code ? ` [${code}]` : ""}`,
    ),
    "",
  ];
}

function fixedLines({ lines, sections }: OrderReport): readonly string[] {
  const reasons = [...new Set(lines.flatMap(({ fixed }) => fixed ?? []))];
  const staying = sections.filter(({ fixed }) => fixed !== undefined);
  if (reasons.length + staying.length === 0) return [];
  const numbers = (reason: string) =>
    lines.flatMap(({ fixed, number, text }) => (fixed === reason ? [number || text] : []));
  return [
    "What is not moved, and why",
    "  Lines stay in their section, and on their side of every line named here; a section moves as a whole, and so does a decision, a loop",
    "  or a hold with all that is inside it.",
    ...reasons.map((reason) => `  ${numbers(reason).join(", ")}: ${reason}`),
    ...staying.map(({ title, fixed }) => `  section ${harmless(title)}: ${fixed}`),
    "",
  ];
}

function adviceLines(report: OrderReport): readonly string[] {
  if (!isChanged(report)) return ["Nothing was changed."];
  const { lines, order, file } = report;
  const outOfPlace = movedOf(order).flatMap((index) => (lines[index]!.ref === undefined ? [] : [lines[index]!.number]));
  return [
    `Nothing was changed. To take the order over, move the lines in ${harmless(file)}, and check it.`,
    ...(outOfPlace.length > 0
      ? [
          `The baseline has a place for ${outOfPlace.join(", ")}: moved away from it, a line needs its reason (\`moved\`).`,
        ]
      : []),
    "Where a line must not move and nothing above says why, a rule is missing: write it, or mark the line `critical`.",
  ];
}

/** The fewest lines that have to be taken out and put elsewhere: all but a longest rising run. */
function movedOf(order: readonly number[]): readonly number[] {
  const longest: number[][] = [];
  order.forEach((value, index) => {
    const before = longest
      .slice(0, index)
      .filter((run) => run.at(-1)! < value)
      .reduce<number[]>((best, run) => (run.length > best.length ? run : best), []);
    longest.push([...before, value]);
  });
  const kept = new Set(longest.reduce<number[]>((best, run) => (run.length > best.length ? run : best), []));
  return order.filter((value) => !kept.has(value));
}

function shortened(text: string, width: number): string {
  return widthOf(text) <= width ? text : `${text.slice(0, width - 3)}...`;
}

function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? "" : "s"}`;
}

function thousands(value: number): string {
  return String(Math.round(value)).replace(/\B(?=(\d{3})+$)/g, ",");
}
