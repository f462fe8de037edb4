import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { VERSION } from "../../src/version.js";

const ROOT = fileURLToPath(new URL("../../", import.meta.url));

test("the version is the package's", () => {
  expect(VERSION).toBe(JSON.parse(readFileSync(`${ROOT}package.json`, "utf8")).version);
});

test("no path of a machine and no address of a package registry in a tracked file", () => {
  const tracked = execFileSync("git", ["ls-files", "-z"], { cwd: ROOT, encoding: "utf8" }).split("\0").filter(Boolean);
  const wrong = tracked.flatMap((path) => {
    const text = readText(path);
    return text === undefined || path === "tests/house/tracked.test.ts" ? [] : linesWith(path, text);
  });
  expect(tracked.length).toBeGreaterThan(20);
  expect(wrong).toEqual([]);
});

/** A file that is deleted and not yet committed is passed over; so are pictures and faces. */
function readText(path: string): string | undefined {
  try {
    const text = readFileSync(ROOT + path, "utf8");
    return text.includes("\0") ? undefined : text;
  } catch {
    return undefined;
  }
}

const MACHINE =
  /(?<![\w.~-])\/(?:work|tmp|home|root|Users|var\/tmp)\/|[A-Z]:\\Users|\bregistry\.(?!js\b|ts\b)[a-z]+\.|https?:\/\/[^\s"']*(?:npmjs|artifactory|nexus|proxy)[^\s"']*/;

function linesWith(path: string, text: string): string[] {
  return text
    .split("\n")
    .flatMap((line, index) => (MACHINE.test(line) ? [`${path}:${index + 1}: ${line.slice(0, 120)}`] : []));
}
