import type { Gap, Mark } from "../machine/expression.js";

/** "DEPTH at least 2 m and below 5 m": place 2i is the gap below mark i, 2i+1 the mark itself. */
export function readingWords(name: string, marks: readonly Mark[], all: readonly number[]): string {
  const low = marks.findIndex((mark) => mark.end === "low");
  const high = marks.findIndex((mark) => mark.end === "high");
  const values = all.filter((value) => value > 2 * low && (high < 0 || value <= 2 * high + 1));
  const runs = runsOf(values).map(([from, to]) => runWords(marks, from, to));
  return runs.includes(undefined) ? `a certain reading of ${name}` : `${name} ${runs.join(" or ")}`;
}

/** How one gauge stands to another: "more than 1 m below", "not above", "not below and less than 1 m above". */
export function differenceWords(gaps: readonly Gap[], values: readonly number[]): string {
  return runsOf(values)
    .map(([from, to]) => gapWords(gaps, from, to))
    .join(" or ");
}

/** Stretches of values that follow each other: first and last. */
function runsOf(values: readonly number[]): readonly (readonly [from: number, to: number])[] {
  const lasts = values.filter((value, index) => values[index + 1] !== value + 1);
  const firsts = values.filter((value, index) => values[index - 1] !== value - 1);
  return firsts.map((from, index) => [from, lasts[index]!]);
}

function gapWords(gaps: readonly Gap[], from: number, to: number): string {
  const [low, high] = [gaps[Math.floor(from / 2) - 1 + (from % 2)], gaps[Math.floor(to / 2)]];
  if (from === to && from % 2 === 1) return low!.sign === 0 ? "equal to" : `${low!.text} ${sideOf(low!)}`;
  const [lowWords, highWords] = [low && leastWords(low, from % 2 === 1), high && mostWords(high, to % 2 === 1)];
  if (lowWords && highWords === "below") return lowWords;
  if (highWords && lowWords === "above") return highWords;
  return [lowWords, highWords].filter((words) => words !== undefined).join(" and ");
}

function leastWords(gap: Gap, itself: boolean): string {
  if (gap.sign === 0) return itself ? "not below" : "above";
  if (gap.sign > 0) return `${itself ? "at least" : "more than"} ${gap.text} above`;
  return `${itself ? "at most" : "less than"} ${gap.text} below`;
}

function mostWords(gap: Gap, itself: boolean): string {
  if (gap.sign === 0) return itself ? "not above" : "below";
  if (gap.sign < 0) return `${itself ? "at least" : "more than"} ${gap.text} below`;
  return `${itself ? "at most" : "less than"} ${gap.text} above`;
}

function sideOf({ sign }: Gap): string {
  return sign > 0 ? "above" : "below";
}

/** Undefined where a bound has no words. The ends of the range are no bounds. */
function runWords(marks: readonly Mark[], from: number, to: number): string | undefined {
  if (from === to && from % 2 === 1) return boundWords("exactly", marks[(from - 1) / 2]);
  const low = from % 2 === 1 ? boundWords("at least", marks[(from - 1) / 2]) : boundWords("above", marks[from / 2 - 1]);
  const high = to % 2 === 1 ? boundWords("at most", marks[(to - 1) / 2]) : boundWords("below", marks[to / 2]);
  if (low === undefined || high === undefined) return undefined;
  return [low, high].filter((words) => words !== "").join(" and ") || "anywhere";
}

function boundWords(how: string, mark: Mark | undefined): string | undefined {
  const isNone = !mark || (mark.end === "low" && how === "at least") || (mark.end === "high" && how === "at most");
  if (isNone) return "";
  return mark.text === undefined ? undefined : `${how} ${mark.text}`;
}
