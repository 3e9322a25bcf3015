/** `npm start`, as a person in a fresh terminal runs it. */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, expect, test, vi } from 'vitest'
import { ask, later, newFolder, undoAll } from './support.js'

afterEach(undoAll)

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
/** Compiling what another run has left stale takes a while. */
const LONG = 180_000

/** The script in a group of its own, so that it gets Ctrl+C as a terminal sends it: to all of the group. */
function start(library: string): { child: ChildProcessWithoutNullStreams; said: () => string; exit: Promise<number> } {
  const args = ['scripts/start.js', '--library', library, '--port', '0']
  const child = spawn(process.execPath, args, { cwd: ROOT, detached: true })
  later(() => child.exitCode ?? process.kill(-(child.pid as number), 'SIGKILL'))
  let out = ''
  child.stdout.on('data', (chunk) => {
    out += chunk
  })
  return { child, said: () => out, exit: new Promise((resolve) => child.once('close', resolve)) }
}

/** What every file in the folder of demo recordings looks like. */
const samples = (): string[] =>
  readdirSync(join(ROOT, 'sample-logs')).map((name) => {
    const { size, mtimeMs } = statSync(join(ROOT, 'sample-logs', name))
    return `${name} ${size} ${mtimeMs}`
  })

test(
  'shows the verdict on a demo recording, serves all of them, and ends well',
  async () => {
    const before = samples()
    const library = join(await newFolder(), 'library')
    const { child, said, exit } = start(library)
    await vi.waitUntil(() => said().includes('Ctrl-C') || child.exitCode !== null, { timeout: LONG })
    expect(said()).toMatch(
      /\$ firstcrank check sample-logs\/blocked-oil-hose\.log\n[\s\S]*\nStop\. Do not run the engine/,
    )
    const port = Number(/firstcrank is at http:\/\/localhost:(\d+)/.exec(said())?.[1])
    const page = await ask(port, '/', { headers: { accept: 'text/html' } })
    expect(page.text).toContain('<script type="module"')
    const logs = readdirSync(join(ROOT, 'sample-logs')).filter((name) => /\.log(\.gz)?$/.test(name))
    const runs = async () => (await ask(port, '/api/runs')).json.runs
    await vi.waitUntil(async () => (await runs()).length === logs.length, { timeout: 20_000 })
    for (const { file } of await runs()) expect(file.kept).toBe('outside')
    process.kill(-(child.pid as number), 'SIGINT')
    expect(await exit).toBe(0)
    expect(said()).toContain('SIGINT: stopping')
    expect(samples()).toEqual(before)
    expect(readdirSync(library)).not.toContain('server.json')
  },
  LONG,
)

test(
  'says where another one is that has the library, and ends well when told by its parent',
  async () => {
    const library = join(await newFolder(), 'library')
    const first = start(library)
    await vi.waitUntil(() => first.said().includes('Ctrl-C') || first.child.exitCode !== null, { timeout: LONG })
    const second = start(library)
    let errors = ''
    second.child.stderr.on('data', (chunk) => {
      errors += chunk
    })
    expect(await second.exit).toBe(3)
    expect(errors).toMatch(/is in use by another server: process \d+ at http:\/\/localhost:\d+/)
    first.child.kill('SIGTERM')
    expect(await first.exit).toBe(0)
  },
  LONG,
)

test('keeps its state out of what is under version control', () => {
  const script = readFileSync(join(ROOT, 'scripts/start.js'), 'utf8')
  const [, folder] = /'--library', '([^']+)'/.exec(script) as RegExpExecArray
  expect(readFileSync(join(ROOT, '.gitignore'), 'utf8').split('\n')).toContain(`${folder}/`)
})
