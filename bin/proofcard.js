#!/usr/bin/env node
import("../dist/main.js").catch((error) => {
  if (error?.code !== "ERR_MODULE_NOT_FOUND" || !/^Cannot find module '[^']*main\.js'/.test(error.message)) throw error;
  console.error("proofcard is not built: dist/ is missing. Run `npm ci` (or `npm run build`) in its folder.");
  process.exitCode = 2;
});
