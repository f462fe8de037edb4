import type { CodeFlow, Fix, Location, Log, ReportingDescriptor, Result, ThreadFlowLocation } from "sarif";
import type { Edit, Finding, FindingKind, Severity, StoryLine } from "../diagnostics/finding.js";
import type { Span } from "../source/file.js";
import { linesOf } from "../source/lines.js";
import { identities } from "./identity.js";
import { CAUTION, type Report, type ReportContext } from "./report.js";

/** The report as a SARIF 2.1.0 log (OASIS, 2020): the story of a finding is its code flow, its stable name the fingerprint. */
export function renderSarif(report: Report, { version, kinds }: Pick<ReportContext, "version" | "kinds">): string {
  const log: Log = {
    $schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
    version: "2.1.0",
    runs: [
      {
        tool: { driver: { name: "proofcard", version, semanticVersion: version, rules: kinds.map(descriptor) } },
        columnKind: "utf16CodeUnits",
        results: results(report, kinds),
        properties: { project: report.project, caution: CAUTION, proofs: report.proofs, leftOut: report.leftOut },
      },
    ],
  };
  return `${JSON.stringify(log, null, 2)}\n`;
}

const LEVEL = { error: "error", warning: "warning", info: "note" } as const satisfies Record<Severity, string>;

function descriptor(kind: FindingKind): ReportingDescriptor {
  return {
    id: kind.code,
    shortDescription: { text: kind.summary },
    fullDescription: { text: kind.why },
    help: { text: `${kind.summary} ${kind.why} More: proofcard explain ${kind.code}` },
    defaultConfiguration: { level: LEVEL[kind.severity] },
  };
}

/** Allowed findings are results too, suppressed in the source with the author's reason. */
function results(report: Report, kinds: readonly FindingKind[]): Result[] {
  const indexOf = new Map(kinds.map((kind, index) => [kind.code, index]));
  const all = [...report.findings, ...report.allowed.map(({ finding }) => finding)];
  const names = identities(all);
  return all.map((finding, index) => {
    const accepted = report.allowed[index - report.findings.length];
    return {
      ...result(finding, report.base),
      ruleIndex: indexOf.get(finding.code) ?? -1,
      partialFingerprints: { "proofcardFinding/v1": names[index] ?? "" },
      ...(accepted && { suppressions: [{ kind: "inSource", justification: accepted.because }] }),
    };
  });
}

function result(finding: Finding, base: string): Result {
  const { story, edits } = finding;
  return {
    ruleId: finding.code,
    level: LEVEL[finding.severity],
    message: { text: [finding.message, ...finding.help.map((help) => `Help: ${help}.`)].join("\n") },
    locations: [location(finding.at, base, finding.remark)],
    ...(finding.labels.length > 0 && {
      relatedLocations: finding.labels.map((label, index) => ({
        id: index + 1,
        ...location(label.at, base, label.text),
      })),
    }),
    ...(story && story.length > 0 && { codeFlows: [codeFlow(story, base)] }),
    ...(edits && edits.length > 0 && { fixes: [fix(finding, edits, base)] }),
    properties: { subject: finding.subject, ...(finding.tails && { tails: [...finding.tails] }) },
  };
}

function location(at: Span, base: string, text?: string): Location {
  return { physicalLocation: physical(at, base), ...(text && { message: { text } }) };
}

function physical({ file, start, end }: Span, base: string): NonNullable<Location["physicalLocation"]> {
  const lines = linesOf(file);
  const [from, to] = [lines.place(start), lines.place(end)];
  return {
    artifactLocation: { uri: uriOf(base + file.path) },
    region: { startLine: from.line, startColumn: from.column, endLine: to.line, endColumn: to.column },
  };
}

/** A relative reference of RFC 3986: the slashes stay. */
function uriOf(path: string): string {
  return path.split("/").map(encodeURIComponent).join("/");
}

function codeFlow(story: readonly StoryLine[], base: string): CodeFlow {
  return { threadFlows: [{ locations: story.map((line, index) => flowLocation(line, index, base)) }] };
}

function flowLocation(line: StoryLine, index: number, base: string): ThreadFlowLocation {
  const text = [`${line.when}: ${line.what}`, ...(line.effect ? [line.effect] : [])].join("; ");
  return {
    executionOrder: index + 1,
    importance: line.broken ? "essential" : "important",
    location: { ...(line.at && { physicalLocation: physical(line.at, base) }), message: { text } },
  };
}

function fix(finding: Finding, edits: readonly Edit[], base: string): Fix {
  const paths = [...new Set(edits.map(({ at }) => at.file.path))];
  return {
    description: { text: finding.help[0] ?? finding.message },
    artifactChanges: paths.map((path) => ({
      artifactLocation: { uri: uriOf(base + path) },
      replacements: edits
        .filter(({ at }) => at.file.path === path)
        .map(({ at, text }) => ({ deletedRegion: physical(at, base).region ?? {}, insertedContent: { text } })),
    })),
  };
}
