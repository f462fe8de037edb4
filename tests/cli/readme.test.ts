import { spawnSync } from "node:child_process";
import { expect, test } from "vitest";
import { ROOT } from "./run.js";

test("the README shows what the program prints, and every code", () => {
  const ran = spawnSync(process.execPath, ["scripts/write-readme.mjs", "--check"], { cwd: ROOT, encoding: "utf8" });
  expect(ran.stderr).toBe("");
  expect(ran.status).toBe(0);
});
