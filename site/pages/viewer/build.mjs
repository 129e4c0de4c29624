/* The recipe: all of src/ with three.js as one classic script, ../assets/viewer/viewer.js.

     npm install --no-package-lock && npm run build

   The script begins with the hash of its sources, so that a test sees whether they have changed since. */
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { build } from "esbuild";

const here = new URL(".", import.meta.url);
const read = (name) => readFileSync(new URL(name, here));
const hash = createHash("sha256");
for (const name of ["build.mjs", "package.json", ...readdirSync(new URL("src", here)).sort().map((f) => "src/" + f)]) {
  hash.update(name + "\0").update(read(name)).update("\0");
}
const three = JSON.parse(read("node_modules/three/package.json"));
const made = await build({
  entryPoints: [new URL("src/main.js", here).pathname],
  bundle: true, format: "iife", minify: true, target: "es2020", write: false, legalComments: "none", treeShaking: true,
});
const head = `/* Benchleaf's viewer with three.js ${three.version}, MIT License, see viewer-licence.txt. Sources: ${hash.digest("hex")} */\n`;
writeFileSync(new URL("../assets/viewer/viewer.js", here), head + made.outputFiles[0].text);
writeFileSync(new URL("../assets/viewer/viewer-licence.txt", here), read("node_modules/three/LICENSE"));
