// Makes out/rulebook.vsix, the file an editor installs: the extension with all it uses in one script, and the grammar.

import { build } from "esbuild";
import { createVSIX } from "@vscode/vsce";
import { copyFileSync, mkdirSync, rmSync } from "node:fs";

process.chdir(import.meta.dirname);
mkdirSync("out", { recursive: true });
copyFileSync("../rulebook.tmLanguage.json", "out/rulebook.tmLanguage.json");
await build({
  entryPoints: ["extension.js"],
  outfile: "out/extension.js",
  bundle: true,
  platform: "node",
  format: "cjs",
  target: "node20",
  external: ["vscode"],
  minify: true,
  legalComments: "inline",
  logLevel: "warning",
});
copyFileSync("../../LICENSE", "LICENSE");
try {
  await createVSIX({ packagePath: "out/rulebook.vsix", dependencies: false, allowMissingRepository: true });
} finally {
  rmSync("LICENSE");
}
