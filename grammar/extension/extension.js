// Starts `trochoid language-server` for rulebooks and records, starts it again when it ends by mistake, and says so
// when it is not found.

const { execFile } = require("node:child_process");
const vscode = require("vscode");
const { LanguageClient, TransportKind } = require("vscode-languageclient/node");

// So many times it is started again within three minutes.
const STARTED_AGAIN = 4;

let client;
// One start or stop after the other.
let turn = Promise.resolve();

const settings = () => vscode.workspace.getConfiguration("trochoid");
const program = () => settings().get("path") || "trochoid";
const hints = () => settings().get("hints") !== false;

/** Why the program cannot be started, if so. */
function reasonAgainst(path) {
  return new Promise((done) => {
    execFile(path, ["--version"], { timeout: 20000 }, (error) => {
      if (!error) done(undefined);
      else if (error.code === "ENOENT") done(`The program \`${path}\` was not found. Install trochoid, or set trochoid.path to its file.`);
      else if (error.code === "EACCES") done(`The file \`${path}\` may not be run. Set trochoid.path to the program trochoid.`);
      else done(`The program \`${path}\` does not answer: ${error.message.trim()}`);
    });
  });
}

async function say(reason) {
  const open = "Open Settings";
  if ((await vscode.window.showErrorMessage(reason, open)) === open) {
    await vscode.commands.executeCommand("workbench.action.openSettings", "trochoid.path");
  }
}

async function start() {
  if (!vscode.workspace.isTrusted || client) return;
  const path = program();
  const reason = await reasonAgainst(path);
  if (reason) {
    // Not waited for: the message stands until somebody closes it.
    say(reason);
    return;
  }
  client = new LanguageClient(
    "trochoid",
    "trochoid",
    { command: path, args: ["language-server"], transport: TransportKind.stdio },
    {
      documentSelector: [
        { scheme: "file", language: "rulebook" },
        { scheme: "file", pattern: "**/*.{yaml,yml,json}" },
      ],
      initializationOptions: { hints: hints() },
      connectionOptions: { maxRestartCount: STARTED_AGAIN },
    },
  );
  try {
    await client.start();
  } catch (error) {
    client = undefined;
    say(`trochoid could not be started: ${error.message}`);
  }
}

async function stop() {
  const running = client;
  client = undefined;
  if (!running) return;
  try {
    await running.stop();
  } catch {
    // It has ended already.
  }
}

function next(...steps) {
  for (const step of steps) turn = turn.then(step, step);
  return turn;
}

async function tellSettings() {
  if (client?.isRunning()) {
    await client.sendNotification("workspace/didChangeConfiguration", { settings: { trochoid: { hints: hints() } } });
  }
}

function activate(context) {
  context.subscriptions.push(
    vscode.commands.registerCommand("trochoid.restart", () => next(stop, start)),
    vscode.workspace.onDidGrantWorkspaceTrust(() => next(start)),
    vscode.workspace.onDidChangeConfiguration((change) => {
      if (change.affectsConfiguration("trochoid.path")) next(stop, start);
      else if (change.affectsConfiguration("trochoid.hints")) next(tellSettings);
    }),
  );
  return next(start);
}

const deactivate = () => next(stop);

module.exports = { activate, deactivate };
