import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { folderWith, PROOFCARD } from "./run.js";

function runShim(main?: string) {
  const folder = folderWith({ "package.json": '{ "type": "module" }' });
  mkdirSync(join(folder, "bin"));
  cpSync(PROOFCARD, join(folder, "bin", "proofcard.js"));
  if (main !== undefined) {
    mkdirSync(join(folder, "dist"));
    writeFileSync(join(folder, "dist", "main.js"), main);
  }
  return spawnSync(process.execPath, [join(folder, "bin", "proofcard.js")], { encoding: "utf8" });
}

test("without dist/ the program says so, and how to mend it", () => {
  const ran = runShim();
  expect(ran).toMatchObject({ status: 2, stdout: "" });
  expect(ran.stderr).toBe(
    "proofcard is not built: dist/ is missing. Run `npm ci` (or `npm run build`) in its folder.\n",
  );
});

test("a fault in the program itself is not taken for that", () => {
  const ran = runShim('import "no-such-package";');
  expect(ran.status).not.toBe(0);
  expect(ran.stderr).toContain("no-such-package");
  expect(ran.stderr).not.toContain("is not built");
});
