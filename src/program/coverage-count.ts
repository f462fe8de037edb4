import type {
  Broken,
  FailureRow,
  FaultCoverage,
  LightLook,
  ProcedureCoverage,
  Reveal,
  SlipCoverage,
  SlipRow,
} from "./coverage.js";

/** How many faults of a procedure are revealed, of those that can be seen at all. */
export interface FaultCount {
  readonly of: number;
  readonly always: number;
  readonly sometimes: number;
  readonly never: number;
  readonly unproved: number;
  /** Change no light in any state, or cannot be there when the card begins: not among `of`. */
  readonly apart: number;
  readonly noStart: number;
}

export function countFaults({ rows }: FaultCoverage): FaultCount {
  const count = (verdict: Reveal) => rows.filter(({ revealed }) => revealed === verdict).length;
  const [apart, noStart] = [count("apart"), count("no start")];
  return {
    of: rows.length - apart - noStart,
    always: count("always"),
    sometimes: count("sometimes"),
    never: count("never"),
    unproved: count("unproved"),
    apart,
    noStart,
  };
}

/** In whole percent, downwards: 100 only where it is all. */
export function percent(part: number, whole: number): string {
  return whole === 0 ? "-" : `${Math.floor((100 * part) / whole)} %`;
}

export function countSlips({ rows }: SlipCoverage): Readonly<Record<SlipRow["verdict"], number>> {
  const count = (verdict: SlipRow["verdict"]) => rows.filter((row) => row.verdict === verdict).length;
  return {
    silent: count("silent"),
    caught: count("caught"),
    harmless: count("harmless"),
    unproved: count("unproved"),
  };
}

/** One row for each light that a procedure looks at: the looks that see it lit, and those that see it out. */
export interface LightRow {
  readonly light: string;
  readonly lit: readonly LightLook[];
  readonly out: readonly LightLook[];
}

export function lightRows({ lights }: Pick<ProcedureCoverage, "lights">): readonly LightRow[] {
  return [...new Set(lights.map(({ light }) => light))].map((light) => {
    const looks = lights.filter((look) => look.light === light);
    return {
      light,
      lit: looks.filter(({ lit }) => lit !== "never"),
      out: looks.filter(({ out }) => out !== "never"),
    };
  });
}

/** Lines one after the other in whose pauses a failure comes to the same; `breaks` is as the first that has a story tells it. */
export interface FailureStretch {
  readonly rows: readonly [FailureRow, ...FailureRow[]];
  readonly breaks?: Broken;
}

export function failureStretches(failures: readonly FailureRow[]): readonly FailureStretch[] {
  const found: [FailureRow, ...FailureRow[]][] = [];
  for (const row of failures) {
    const before = found.at(-1);
    if (before && comesTo(before[0]) === comesTo(row)) before.push(row);
    else found.push([row]);
  }
  return found.map((rows) => {
    const told = rows.find(({ breaks }) => breaks && breaks.story.length > 0) ?? rows[0];
    return { rows, ...(told.breaks && { breaks: told.breaks }) };
  });
}

function comesTo({ equipment, from, to, verdict, answeredBy, breaks }: FailureRow): string {
  return JSON.stringify([equipment, from, to, verdict, answeredBy, breaks?.kind, breaks?.what]);
}
