import { sarifToMarkdown } from "@security-alert/sarif-to-markdown";
import { expect, test } from "vitest";
import { CATALOGUE } from "../../src/catalogue.js";
import { renderSarif } from "../../src/report/sarif.js";
import { LOAD_TOO_EARLY, report } from "./fixture.js";

// Read by @security-alert/sarif-to-markdown, a consumer of SARIF 2.1.0 that shares nothing with the writer.

const MILD = { ...LOAD_TOO_EARLY, code: "order/idle", severity: "info", message: "a second one", subject: {} } as const;

function asMarkdown(one: ReturnType<typeof report>) {
  const log = JSON.parse(renderSarif(one, { version: "1.2.3", kinds: CATALOGUE }));
  const options = { title: "Cards", owner: "northskerry", repo: "cards", branch: "main", sourceRoot: "" };
  return sarifToMarkdown({ ...options, failOn: ["error"] })(log);
}

test("a reader finds each result with its level, its rule and its place", () => {
  const [{ body, hasMessages, shouldFail }] = asMarkdown(report([LOAD_TOO_EARLY, MILD])) as [never];
  expect({ hasMessages, shouldFail }).toEqual({ hasMessages: true, shouldFail: true });
  expect(plain(body)).toContain("[ERROR]** **[order/when]**");
  expect(plain(body)).toContain("the board can take load before `warm-up-before-load` allows it");
  expect(plain(body)).toContain("/cards/blob/main/procedures/emergency-start.yaml#L51-L51");
  expect(plain(body)).toContain("Name: proofcard");
});

test("an allowed finding is listed as suppressed", () => {
  const because = "The board is dead on this ship.";
  const [{ body }] = asMarkdown(report([], { allowed: [{ finding: LOAD_TOO_EARLY, because }] })) as [never];
  expect(plain(body)).toMatch(/suppress/i);
});

test("without findings it has none to tell", () => {
  const [{ hasMessages }] = asMarkdown(report([])) as [never];
  expect(hasMessages).toBe(false);
});

/** Without the reader's own escapes. */
function plain(markdown: string): string {
  return markdown.replaceAll("\\", "").replaceAll("&#x2F;", "/");
}
