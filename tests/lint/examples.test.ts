import { describe, expect, test } from "vitest";
import { LINT_KINDS } from "../../src/lint/kinds.js";
import { lintOf } from "./on-repository.js";

describe.each(LINT_KINDS)("$code", ({ code, severity, bad, good }) => {
  test("its bad example raises it and nothing else", () => {
    expect(lintOf(bad).map((finding) => [finding.code, finding.severity])).toEqual([[code, severity]]);
  });

  test("its good example raises nothing", () => {
    expect(lintOf(good)).toEqual([]);
  });

  test("its message is one line, and there is a way out", () => {
    for (const { message, help } of lintOf(bad)) {
      expect(message).not.toMatch(/\n|\.$/);
      expect(help.length).toBeGreaterThan(0);
    }
  });
});
