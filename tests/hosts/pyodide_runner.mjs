// Runs a Python script in Pyodide: node pyodide_runner.mjs PYODIDE-FOLDER SCRIPT WHEEL-OR-ZIP...
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { join } from "node:path";

const [folder, script, ...archives] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(join(folder, "pyodide.mjs")));
const python = await loadPyodide();
const site = python.runPython("import sysconfig; sysconfig.get_paths()['purelib']");
for (const archive of archives) {
  python.unpackArchive(new Uint8Array(readFileSync(archive)), "zip", { extractDir: site });
}
await python.runPythonAsync(readFileSync(script, "utf8"));
