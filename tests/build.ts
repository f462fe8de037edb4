import { execFileSync } from "node:child_process";

/** Builds dist/ before the tests that start the program. */
export default function build(): void {
  execFileSync(process.execPath, ["build.mjs", "--quick"], { cwd: new URL("..", import.meta.url), stdio: "inherit" });
}
