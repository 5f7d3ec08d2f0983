// Makes out/rulebook.vsix, the file an editor installs: the extension with all it uses in one script, and the grammar.

import { build } from "esbuild";
import { createVSIX } from "@vscode/vsce";
import { copyFileSync, mkdirSync, rmSync } from "node:fs";

const here = import.meta.dirname;
process.chdir(here);
mkdirSync("out", { recursive: true });
copyFileSync("../rulebook.tmLanguage.json", "out/rulebook.tmLanguage.json");
await build({
  absWorkingDir: here,
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
  await createVSIX({ cwd: here, packagePath: "out/rulebook.vsix", dependencies: false, allowMissingRepository: true });
} finally {
  rmSync("LICENSE");
}
