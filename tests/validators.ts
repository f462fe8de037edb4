import { execFileSync } from "node:child_process";

/** Compiles the schemas where that has not been done since they were changed: src/syntax/ imports the result. */
export default function validators(): void {
  execFileSync(process.execPath, ["scripts/generate-validators.mjs"], {
    cwd: new URL("..", import.meta.url),
    stdio: "inherit",
  });
}
