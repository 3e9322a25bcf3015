/**
 * What the other scripts share: set-up on a fresh clone, and running a tool.
 * Only Node's own modules are imported, because this runs before anything is installed.
 */
import { spawn } from 'node:child_process'
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { constants } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

/** The repository's top folder. Every tool runs in it. */
export const ROOT = fileURLToPath(new URL('..', import.meta.url))

/** The one app that vite makes, from what the compiler has only checked. */
const VIEWER = 'apps/viewer'

/** The signal that asked us to stop. @type {'SIGINT' | 'SIGTERM' | undefined} */
let stopSignal
/** The tool that is running; one at a time. @type {import('node:child_process').ChildProcess | undefined} */
let running

/** A failure whose message says all: it is printed without a stack. */
export class ScriptError extends Error {
  /**
   * @param {string} message
   * @param {number} exitCode
   */
  constructor(message, exitCode = 1) {
    super(message)
    this.exitCode = exitCode
  }
}

/**
 * Runs a script's task; the process ends with the exit code it returns.
 *
 * @param {() => Promise<number>} task
 */
export async function main(task) {
  for (const signal of /** @type {const} */ (['SIGINT', 'SIGTERM'])) {
    process.on(signal, () => {
      stopSignal = signal
      // The terminal sends Ctrl-C to the running tool as well; a second one would cut short its tidying up.
      if (signal === 'SIGTERM') running?.kill(signal)
    })
  }
  try {
    process.exitCode = await task()
  } catch (error) {
    if (!(error instanceof ScriptError)) throw error
    say(error.message)
    process.exitCode = error.exitCode
  }
}

/** Makes a clone ready: right Node, packages installed, everything stale built. */
export async function setUp() {
  await install()
  await build()
}

/** Installs the packages of package-lock.json where node_modules does not hold them. */
export async function install() {
  checkNode()
  if (isInstalled()) return
  await step('installing packages (npm ci)', () => npm(['ci', '--include=dev', '--no-audit', '--no-fund']))
}

/** Compiles packages and apps, as far as their sources changed. */
export async function build() {
  await step('building what changed (tsc -b)', () => runTool('typescript', 'tsc', compilerArguments(projects())))
  if (!isViewerStale()) return
  await step('building the viewer (vite build)', () =>
    runTool('vite', 'vite', ['build', VIEWER, '--config', `${VIEWER}/vite.config.ts`, '--logLevel', 'warn']),
  )
}

/**
 * What to tell the compiler to build projects, each after those it refers to.
 *
 * @param {readonly string[]} folders of the projects
 */
export function compilerArguments(folders) {
  // The compiler's notes of what it built lie outside `dist`: without this a deleted one stays away.
  const force = projects().every((folder) => folder === VIEWER || exists(`${folder}/dist`)) ? [] : ['--force']
  return ['-b', ...force, ...folders]
}

/**
 * Runs a JavaScript file with this Node, in the terminal's own streams.
 *
 * @param {string} file
 * @param {readonly string[]} args
 * @returns {Promise<number>} its exit code
 */
export async function runNode(file, args = []) {
  return (await start(process.execPath, [file, ...args])).code
}

/**
 * Runs the command of an installed package.
 *
 * @param {string} name of the package
 * @param {string} command
 * @param {readonly string[]} args
 * @returns {Promise<number>} its exit code
 */
export function runTool(name, command, args) {
  return runNode(toolFile(name, command), args)
}

/**
 * Runs the command of an installed package and keeps what it prints.
 *
 * @param {string} name of the package
 * @param {string} command
 * @param {readonly string[]} args
 */
export function captureTool(name, command, args) {
  return captureNode(toolFile(name, command), args)
}

/**
 * Runs a JavaScript file with this Node and keeps what it prints.
 *
 * @param {string} file
 * @param {readonly string[]} args
 */
export function captureNode(file, args) {
  return start(process.execPath, [file, ...args], { stdio: ['ignore', 'pipe', 'pipe'] })
}

/**
 * A line about progress, apart from the tools' own output.
 *
 * @param {string} text
 */
export function say(text) {
  process.stderr.write(`firstcrank: ${text}\n`)
}

/**
 * Whether a path, given from the top folder, exists.
 *
 * @param {string} path
 */
export function exists(path) {
  return existsSync(join(ROOT, path))
}

/**
 * Paths of the folders in a folder, from the top folder, in order.
 *
 * @param {string} folder
 */
export function foldersIn(folder) {
  const entries = readdirSync(join(ROOT, folder), { withFileTypes: true })
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name)
  return names.sort().map((name) => `${folder}/${name}`)
}

/**
 * A JSON file's content.
 *
 * @param {string} path from the top folder
 */
export function readJson(path) {
  return JSON.parse(readFileSync(join(ROOT, path), 'utf8'))
}

/** What the viewer is made of: its own files, the packages it holds, and the recordings it carries along. */
const VIEWER_INPUTS = [
  ...['src', 'public', 'index.html', 'vite.config.ts', 'package.json'].map((path) => `${VIEWER}/${path}`),
  ...['decoder', 'analysis', 'feed'].map((name) => `packages/${name}/src`),
  'sample-logs',
  'package-lock.json',
]

/** Whether the built viewer is missing or older than what it is made of. */
function isViewerStale() {
  const built = `${VIEWER}/dist/index.html`
  if (!exists(built)) return exists(VIEWER)
  const { mtimeMs } = statSync(join(ROOT, built))
  return VIEWER_INPUTS.filter(exists).some((path) => newestIn(path) > mtimeMs)
}

/**
 * When the newest file at or below a path was changed.
 *
 * @param {string} path from the top folder
 * @returns {number}
 */
function newestIn(path) {
  const stat = statSync(join(ROOT, path))
  if (!stat.isDirectory()) return stat.mtimeMs
  return readdirSync(join(ROOT, path)).reduce(
    (newest, name) => Math.max(newest, newestIn(`${path}/${name}`)),
    stat.mtimeMs,
  )
}

/** Folders of the packages and apps that are compiled. */
function projects() {
  return ['packages', 'apps'].flatMap(foldersIn).filter((folder) => exists(`${folder}/tsconfig.json`))
}

function checkNode() {
  const lowest = readJson('package.json').engines.node.replace('>=', '')
  const [major, minor] = lowest.split('.').map(Number)
  const [ourMajor = 0, ourMinor = 0] = process.versions.node.split('.').map(Number)
  if (ourMajor > major || (ourMajor === major && ourMinor >= minor)) return
  throw new ScriptError(`Node ${lowest} or later is needed; this is Node ${process.versions.node}.`)
}

/** Whether npm's own note of what it installed holds all that package-lock.json asks for. */
function isInstalled() {
  if (!exists('node_modules/.package-lock.json')) return false
  const present = readJson('node_modules/.package-lock.json').packages
  return Object.entries(readJson('package-lock.json').packages)
    .filter(([path]) => path.includes('node_modules/'))
    .every(([path, wanted]) => {
      // Optional packages for other systems are never there.
      if (!(path in present)) return wanted.optional || wanted.devOptional
      return present[path].version === wanted.version && present[path].integrity === wanted.integrity
    })
}

/**
 * @param {string} what
 * @param {() => Promise<number>} task
 */
async function step(what, task) {
  say(`${what} …`)
  const begun = performance.now()
  const code = await task()
  if (code !== 0) throw new ScriptError(`${what}: failed.`, code)
  say(`${what}: done in ${((performance.now() - begun) / 1000).toFixed(1)} s`)
}

/** @param {readonly string[]} args */
async function npm(args) {
  const cli = process.env['npm_execpath']
  if (cli?.endsWith('npm-cli.js')) return runNode(cli, args)
  return (await start('npm', args, { shell: process.platform === 'win32' })).code
}

/**
 * @param {string} name
 * @param {string} command
 */
function toolFile(name, command) {
  const { bin } = readJson(`node_modules/${name}/package.json`)
  return join(ROOT, 'node_modules', name, bin[command])
}

/**
 * Starts a program and waits for its end.
 *
 * @param {string} program
 * @param {readonly string[]} args
 * @param {import('node:child_process').SpawnOptions} options
 * @returns {Promise<{ code: number, output: string }>}
 */
function start(program, args, options = {}) {
  const child = spawn(program, args, { cwd: ROOT, stdio: 'inherit', ...options })
  let output = ''
  for (const stream of [child.stdout, child.stderr]) {
    stream?.setEncoding('utf8').on('data', (text) => {
      output += text
    })
  }
  running = child
  return new Promise((resolve, reject) => {
    child.once('error', reject)
    child.once('close', (code, signal) => {
      running = undefined
      if (stopSignal) reject(new ScriptError('stopped.', 128 + constants.signals[stopSignal]))
      else resolve({ code: code ?? 128 + constants.signals[signal ?? 'SIGTERM'], output })
    })
  })
}
