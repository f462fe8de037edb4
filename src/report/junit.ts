import type { Finding, Severity } from "../diagnostics/finding.js";
import { identities } from "./identity.js";
import { atLeast, CAUTION, type LeftOut, type Report } from "./report.js";
import { findingText } from "./text.js";

export interface JunitOptions {
  /** The mildest level that counts as a failure; what is unproved is an error at any. */
  readonly failOn: Severity;
  /** Code of the finding that says so. */
  readonly unproved: string;
}

interface Case {
  readonly name: string;
  readonly findings: readonly Finding[];
  /** Why it was not tried. */
  readonly skipped?: string;
  readonly out: readonly string[];
}

interface Suite {
  readonly name: string;
  /** The file that it is about, from the root of the project. */
  readonly file?: string;
  readonly cases: readonly Case[];
}

/**
 * The report as JUnit XML, the format that build servers read (it has no standard; elements and attributes are among those
 * of the schema that the xUnit plugin of Jenkins checks reports against, junit-10.xsd): a suite for each procedure with a case for each rule, and one for each other finding; what lies in
 * no procedure that was proved is in the suite of its file. No times, so that the bytes stay the same.
 */
export function renderJunit(report: Report, options: JunitOptions): string {
  const suites = [
    ...report.proofs.map((proof) => suiteOfProof(report, proof)),
    ...suitesOfFiles(report),
    ...report.leftOut.map(suiteOfLeftOut),
  ];
  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<testsuites name=${quoted(`proofcard: ${report.project}`)} ${counts(suites, options)}>`,
    ...suites.flatMap((suite) => suiteLines(suite, report.base, options)),
    "</testsuites>",
  ];
  return `${lines.join("\n")}\n`;
}

function suiteOfProof(report: Report, { procedure, rules }: Report["proofs"][number]): Suite {
  const own = report.findings.filter((finding) => finding.subject.procedure === procedure);
  const ofRules = rules.map(({ rule, verdict }): Case => {
    const findings = own.filter(({ subject }) => subject.rule === rule);
    const accepted = report.allowed.filter(
      ({ finding: { subject } }) => subject.procedure === procedure && subject.rule === rule,
    );
    const out = accepted.map(
      ({ finding, because }) => `allowed [${finding.code}]: ${finding.message}; because ${because}`,
    );
    const silent = verdict !== "holds" && findings.length + accepted.length === 0;
    return { name: `rule ${rule}`, findings, out: silent ? [`${verdict}; the project turns its finding off`] : out };
  });
  const named = new Set(rules.map(({ rule }) => rule));
  const others = own.filter(({ subject }) => subject.rule === undefined || !named.has(subject.rule));
  const rest: readonly Case[] =
    others.length > 0 ? casesOf(others) : [{ name: "all but the rules", findings: [], out: [] }];
  return { name: procedure, cases: [...ofRules, ...rest] };
}

function casesOf(findings: readonly Finding[]): Case[] {
  const names = identities(findings);
  return findings.map((finding, index) => ({
    name: names[index]!,
    findings: [finding],
    out: [],
  }));
}

/** Findings about no procedure that was proved. */
function suitesOfFiles(report: Report): Suite[] {
  const proved = new Set(report.proofs.map(({ procedure }) => procedure));
  const others = report.findings.filter(({ subject }) => !subject.procedure || !proved.has(subject.procedure));
  const paths = [...new Set(others.map(({ at }) => at.file.path))];
  return paths.map((path) => ({
    name: path,
    file: path,
    cases: casesOf(others.filter(({ at }) => at.file.path === path)),
  }));
}

function suiteOfLeftOut({ procedure, because }: LeftOut): Suite {
  return { name: procedure, cases: [{ name: "proof", findings: [], skipped: `not proved: ${because}`, out: [] }] };
}

function suiteLines(suite: Suite, base: string, options: JunitOptions): string[] {
  const file = suite.file === undefined ? "" : ` file=${quoted(base + suite.file)}`;
  return [
    `  <testsuite name=${quoted(suite.name)}${file} ${counts([suite], options)} skipped="${suite.cases.filter(isSkipped).length}">`,
    ...suite.cases.flatMap((one) => caseLines(suite, one, base, options)),
    `    <system-out>${escaped(CAUTION)}</system-out>`,
    "  </testsuite>",
  ];
}

function caseLines(suite: Suite, one: Case, base: string, options: JunitOptions): string[] {
  const told = one.findings.flatMap((finding): string[] => {
    const word = wordFor(finding, options);
    if (word === undefined) return [];
    const head = `<${word} type=${quoted(finding.code)} message=${quoted(finding.message)}>`;
    return [`      ${head}${escaped(findingText(finding, base))}</${word}>`];
  });
  const mild = one.findings.filter((finding) => wordFor(finding, options) === undefined);
  const out = [...one.out, ...mild.map((finding) => findingText(finding, base))];
  return [
    `    <testcase classname=${quoted(suite.name)} name=${quoted(one.name)}>`,
    ...(one.skipped === undefined ? [] : [`      <skipped message=${quoted(one.skipped)}/>`]),
    ...told,
    ...(out.length > 0 ? [`      <system-out>${escaped(out.join("\n"))}</system-out>`] : []),
    "    </testcase>",
  ];
}

/** Undefined for what does not fail. */
function wordFor({ code, severity }: Finding, { failOn, unproved }: JunitOptions): "failure" | "error" | undefined {
  if (code === unproved) return "error";
  return atLeast(severity, failOn) ? "failure" : undefined;
}

function counts(suites: readonly Suite[], options: JunitOptions): string {
  const cases = suites.flatMap((suite) => suite.cases);
  const having = (word: "failure" | "error") =>
    cases.filter(({ findings }) => findings.some((finding) => wordFor(finding, options) === word)).length;
  return `tests="${cases.length}" failures="${having("failure")}" errors="${having("error")}"`;
}

function isSkipped({ skipped }: Case): boolean {
  return skipped !== undefined;
}

function quoted(text: string): string {
  return `"${escaped(text).replace(/"/g, "&quot;").replace(/\n/g, "&#10;").replace(/\t/g, "&#9;")}"`;
}

/** What XML 1.0 has no place for (most control characters, half a surrogate pair) is shown as U+FFFD. */
function escaped(text: string): string {
  return text
    .replace(/[^\t\n\u0020-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/gu, "\uFFFD")
    .replace(/&/g, "&amp;")
    .replace(/</g, "&lt;")
    .replace(/>/g, "&gt;");
}
