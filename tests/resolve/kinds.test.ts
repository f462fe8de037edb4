import { describe, expect, it } from "vitest";
import { RESOLVE_KINDS } from "../../src/resolve/kinds.js";
import { loadProgram } from "../support/load.js";

describe.each(RESOLVE_KINDS)("the page of $code", { timeout: 20_000 }, ({ code, bad, good }) => {
  it("has a bad example that raises exactly this code", () => {
    const codes = loadProgram(bad).findings.map((finding) => finding.code);
    expect(new Set(codes)).toEqual(new Set([code]));
  });

  it("has a good example that raises nothing", () => {
    expect(loadProgram(good).findings).toEqual([]);
  });
});

it("lists no code twice", () => {
  expect(new Set(RESOLVE_KINDS.map(({ code }) => code)).size).toBe(RESOLVE_KINDS.length);
});
