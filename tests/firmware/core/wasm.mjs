// Runs one Python file of the core's suite under the 32-bit WASM build of MicroPython.
// node wasm.mjs MICROPYTHON_MODULE SCRIPT FOLDER=MOUNT...
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [module, script, ...folders] = process.argv.slice(2);
const { loadMicroPython } = await import(pathToFileURL(path.resolve(module)));
const python = await loadMicroPython({ heapsize: 1 << 22 });

function copy(from, to) {
  python.FS.mkdirTree(to);
  for (const entry of fs.readdirSync(from, { withFileTypes: true })) {
    const source = path.join(from, entry.name);
    if (entry.isDirectory() && entry.name !== "__pycache__") copy(source, `${to}/${entry.name}`);
    else if (entry.isFile()) python.FS.writeFile(`${to}/${entry.name}`, fs.readFileSync(source));
  }
}

for (const folder of folders) copy(...folder.split("="));
python.runPython(`
import sys
sys.path.insert(0, "/app")
__file__ = "${script}"
__name__ = "__main__"
with open("${script}") as file:
    code = file.read()
try:
    exec(code)
except SystemExit as end:
    if end.args and end.args[0]:
        raise
`);
