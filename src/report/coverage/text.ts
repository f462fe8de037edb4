import type {
  Broken,
  FailureRow,
  LeftOver,
  LightLook,
  ProcedureCoverage,
  SlipCoverage,
} from "../../program/coverage.js";
import { countFaults, countSlips, failureStretches, lightRows, percent } from "../../program/coverage-count.js";
import { brokenWords, estimateWords, failureWords, Names } from "../../program/coverage-names.js";
import { wrapped } from "../frame.js";
import { type Paint, paint } from "../paint.js";
import { CAUTION } from "../report.js";
import { story } from "../story.js";
import { plural } from "../summary.js";
import { harmless } from "../width.js";
import { type CoverageReport, unprovedRows } from "./coverage-report.js";
import { table } from "./table.js";

export interface CoverageTextOptions {
  readonly colour: boolean;
  readonly columns: number;
  /** Also what is in order: faults that are always revealed, slips that are caught or harmless. */
  readonly all: boolean;
}

const WIDEST = 100;

/** Tables for a terminal, procedure by procedure, then the summary. */
export function renderCoverageText(report: CoverageReport, options: CoverageTextOptions): string {
  const ink = paint(options.colour);
  const columns = Math.max(60, Math.min(WIDEST, options.columns));
  const blocks = report.procedures.map((one) => procedureLines(report, one, { ...options, columns, ink }));
  return [...blocks, closing(report)].map((lines) => `${lines.join("\n")}\n`).join("\n");
}

interface Drawing extends CoverageTextOptions {
  readonly ink: Paint;
}

function procedureLines(report: CoverageReport, coverage: ProcedureCoverage, drawing: Drawing): string[] {
  const procedure = report.program.procedures.get(coverage.procedure)!;
  const names = new Names(report.program.systems.get(procedure.system)!, procedure);
  const lines = [
    drawing.ink.strong(`${procedure.id}: ${harmless(procedure.title)}`),
    ...lightPart(coverage, names, drawing),
    ...faultPart(coverage, names, drawing),
  ];
  if (coverage.slips) lines.push(...slipPart(coverage.slips, names, drawing));
  if (coverage.leftOver) lines.push(...leftOverPart(coverage.leftOver, names, drawing));
  if (coverage.failures) lines.push(...failurePart(coverage.failures, names, drawing));
  return lines;
}

function part(title: string, summary: string, { ink, columns }: Drawing): string[] {
  const [first = "", ...rest] = wrapped(`${title}: ${summary}`, columns);
  return ["", ink.strong(first.slice(0, title.length)) + first.slice(title.length), ...rest.map((line) => `  ${line}`)];
}

function indented(lines: readonly string[]): string[] {
  return lines.map((line) => `  ${line}`.trimEnd());
}

function rowsOf(headings: readonly string[], rows: readonly (readonly string[])[], { columns }: Drawing): string[] {
  return rows.length === 0 ? [] : indented(table(headings, rows, columns - 2));
}

function lightPart(coverage: ProcedureCoverage, names: Names, drawing: Drawing): string[] {
  const rows = lightRows(coverage);
  if (rows.length === 0) return part("Lights", "none looked at", drawing);
  const [neverLit, neverOut] = [rows.filter(({ lit }) => lit.length === 0), rows.filter(({ out }) => out.length === 0)];
  const summary = [
    `${rows.length} looked at`,
    ...(neverLit.length > 0 ? [`${neverLit.length} never seen lit`] : []),
    ...(neverOut.length > 0 ? [`${neverOut.length} never seen out`] : []),
  ];
  const places = (looks: readonly LightLook[], state: "lit" | "out") =>
    looks.length === 0 ? "nowhere" : looks.map((look) => names.look(look, state)).join(", ");
  return [
    ...part("Lights", summary.join(", "), drawing),
    ...rowsOf(
      ["light", "seen lit", "seen out"],
      rows.map(({ light, lit, out }) => [names.thing(light), places(lit, "lit"), places(out, "out")]),
      drawing,
    ),
  ];
}

function faultPart({ faults }: ProcedureCoverage, names: Names, drawing: Drawing): string[] {
  const count = countFaults(faults);
  const summary = [
    `${count.always} of ${count.of} revealed on every path (${percent(count.always, count.of)})`,
    `${count.sometimes} on some`,
    `${count.never} never`,
    ...(count.unproved > 0 ? [`${count.unproved} unproved`] : []),
  ];
  const aside = [
    ...(count.apart > 0 ? [`${count.apart} change no light in any state`] : []),
    ...(count.noStart > 0 ? [`${count.noStart} cannot be there when the card begins`] : []),
    ...(faults.withoutLogic.length > 0 ? [`${plural(faults.withoutLogic.length, "light")} without logic`] : []),
  ];
  const shown = faults.rows.filter(
    ({ revealed }) => drawing.all || revealed === "sometimes" || revealed === "unproved",
  );
  return [
    ...part("Stuck-at faults", summary.join(", "), drawing),
    ...(aside.length > 0 ? [`  apart: ${aside.join("; ")}`] : []),
    ...rowsOf(
      ["fault", "revealed", "first at"],
      shown.map(({ fault, revealed, first }) => [names.fault(fault), revealed, names.step(first)]),
      drawing,
    ),
  ];
}

function slipPart(slips: SlipCoverage, names: Names, drawing: Drawing): string[] {
  const count = countSlips(slips);
  const summary = [
    `${count.silent} of ${slips.rows.length} are silent`,
    `${count.caught} caught`,
    `${count.harmless} harmless`,
    ...(count.unproved > 0 ? [`${count.unproved} unproved`] : []),
  ];
  const shown = slips.rows.filter(({ verdict }) => drawing.all || verdict === "silent" || verdict === "unproved");
  const { estimate } = slips;
  return [
    ...part("Slips", summary.join(", "), drawing),
    ...(estimate.silent === 0 ? [] : indented(wrapped(estimateWords(estimate), drawing.columns - 2))),
    ...rowsOf(
      ["line", "slip", "outcome"],
      shown.map((row) => [names.line(row.slip.step), names.slip(row.slip), names.outcome(row)]),
      drawing,
    ),
    ...shown.flatMap(({ slip, breaks }) =>
      breaks ? storyPart(`${names.line(slip.step)} ${names.slip(slip)}: ${brokenWords(breaks)}`, breaks, drawing) : [],
    ),
  ];
}

function storyPart(title: string, { story: lines }: Broken, { ink, columns }: Drawing): string[] {
  return lines.length === 0 ? [] : ["", `  ${harmless(title)}`, ...story(lines, ink, columns)];
}

function leftOverPart(leftOver: readonly LeftOver[], names: Names, drawing: Drawing): string[] {
  const read = leftOver.filter(({ harms, readBy }) => harms.length + readBy.length > 0);
  const harmful = leftOver.filter(({ harms }) => harms.length > 0);
  if (leftOver.length === 0) return part("Left-over positions", "every control is set or looked at", drawing);
  const summary = [
    `${plural(leftOver.length, "control")} neither set nor looked at on some path`,
    `${read.length} of them read by a rule, promise or list`,
    `${harmful.length} in a finding`,
  ];
  return [
    ...part("Left-over positions", summary.join(", "), drawing),
    ...rowsOf(
      ["control", "what it can do", "read by", "check it"],
      (drawing.all ? leftOver : read).map(({ control, harms, readBy, checkBefore }) => [
        names.thing(control),
        harms.map(({ code, about }) => `${code} ${about}`).join("; ") || "nothing: proved from every position",
        readBy.join(", "),
        checkBefore ? `before ${names.step(checkBefore)}` : "",
      ]),
      drawing,
    ),
  ];
}

function failurePart(failures: readonly FailureRow[], names: Names, drawing: Drawing): string[] {
  if (failures.length === 0) return [];
  const count = (verdict: FailureRow["verdict"]) => failures.filter((row) => row.verdict === verdict).length;
  const summary = `${count("unanswered")} of ${failures.length} unanswered, ${count("answered")} answered, ${count("harmless")} harmless`;
  const shown = failureStretches(failures).filter(
    ({ rows: [{ verdict }] }) => drawing.all || verdict === "unanswered" || verdict === "unproved",
  );
  return [
    ...part("Failures", summary, drawing),
    ...rowsOf(
      ["failure", "when", "outcome"],
      shown.map((stretch) => failureWords(names, stretch)),
      drawing,
    ),
    ...shown.flatMap(({ rows, breaks }) => {
      const told = rows.find((row) => row.breaks === breaks);
      if (!breaks || breaks.story.length === 0 || !told) return [];
      return storyPart(`${names.thing(told.equipment)} to ${told.to} ${names.pauses([told])}`, breaks, drawing);
    }),
  ];
}

function closing(report: CoverageReport): string[] {
  const { procedures, leftOut } = report;
  const unproved = procedures.reduce((sum, one) => sum + unprovedRows(one), 0);
  const faults = procedures.map(({ faults: one }) => countFaults(one));
  const sum = (pick: "always" | "of") => faults.reduce((total, one) => total + one[pick], 0);
  const slips = procedures.flatMap(({ slips: one }) => one?.rows ?? []);
  const silent = slips.filter(({ verdict }) => verdict === "silent").length;
  const silentOf = slips.length > 0 ? `, ${silent} of ${plural(slips.length, "slip")} silent` : "";
  const cutOff = unproved > 0 ? `; ${plural(unproved, "row")} unproved, the limit came first` : "";
  return [
    ...wrapped(
      `Over the model as written, ${plural(procedures.length, "procedure")}: ${sum("always")} of ${sum("of")} faults always revealed${silentOf}${cutOff}.`,
      WIDEST,
    ),
    ...leftOut.map(({ procedure, because }) => `Left out: \`${procedure}\`, ${because}.`),
    CAUTION,
  ];
}
