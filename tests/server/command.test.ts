/** `firstcrank serve` and `firstcrank library`, as a person calls them. */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, describe, expect, test, vi } from 'vitest'
import { ask, later, newFolder, speedLine, undoAll, upload } from './support.js'

afterEach(undoAll)

const COMMAND = fileURLToPath(new URL('../../apps/cli/bin/firstcrank.js', import.meta.url))
const LOG = Array.from({ length: 100 }, (_, n) => speedLine(1_700_000_000_000_000 + n * 1_000, n)).join('')

/** The command, running. */
class Running {
  readonly child: ChildProcessWithoutNullStreams
  out = ''
  errors = ''
  readonly exit: Promise<number | null>

  constructor(...args: string[]) {
    this.child = spawn(process.execPath, [COMMAND, ...args])
    this.child.stdin.on('error', () => undefined)
    this.child.stdout.on('data', (chunk) => {
      this.out += chunk
    })
    this.child.stderr.on('data', (chunk) => {
      this.errors += chunk
    })
    this.exit = new Promise((resolve) => this.child.once('close', resolve))
    later(() => this.child.kill('SIGKILL'))
  }

  /** The port, once it says where it is. */
  async port(): Promise<number> {
    await vi.waitUntil(() => this.out.includes('Ctrl-C') || this.child.exitCode !== null, { timeout: 20_000 })
    return Number(/localhost:(\d+)/.exec(this.out)?.[1])
  }
}

describe('serve', () => {
  test('says where it is, takes what comes in live, and stops when told', async () => {
    const library = join(await newFolder(), 'library')
    const running = new Running('serve', '--library', library, '--port', '0', '--live', '-', '--sync-every', '0.1')
    const port = await running.port()
    expect(running.out).toContain(`library: ${library}`)
    expect(running.out).not.toContain('Code for')
    running.child.stdin.write(LOG)
    await vi.waitUntil(async () => (await ask(port, '/api/sources')).json.sources[0].recorder.synced > LOG.length, {
      timeout: 5_000,
    })
    running.child.kill('SIGINT')
    expect(await running.exit).toBe(0)
    expect(running.out).toContain('SIGINT: stopping')
    expect(running.errors).toBe('')

    // What was recorded is there at the next start, and in a backup.
    const backup = join(await newFolder(), 'backup')
    const copied = new Running('library', 'backup', backup, '--library', library)
    expect([await copied.exit, copied.errors]).toEqual([0, ''])
    expect(copied.out).toMatch(/1 run, 1 log/)
    const restored = join(await newFolder(), 'restored')
    const back = new Running('library', 'restore', backup, '--library', restored)
    expect([await back.exit, back.errors]).toEqual([0, ''])
    const again = new Running('serve', '--library', restored, '--port', '0', '--log', 'info')
    const next = await again.port()
    // The first server had no time to read it before it was stopped.
    await vi.waitUntil(async () => (await ask(next, '/api/runs')).json.runs[0].state === 'ready', { timeout: 5_000 })
    const { json } = await ask(next, '/api/runs')
    expect(json.runs[0]).toMatchObject({ title: 'Live: standard input', summary: { frames: 100 } })
    again.child.kill('SIGTERM')
    expect(await again.exit).toBe(0)
    for (const line of again.errors.trim().split('\n')) expect(JSON.parse(line)).toHaveProperty('msg')
  })

  test('shows a code where the network is let in, and where to go', async () => {
    const library = join(await newFolder(), 'library')
    const running = new Running('serve', '--library', library, '--port', '0', '--lan')
    const port = await running.port()
    await vi.waitUntil(() => running.out.includes('Code for the next device'))
    expect(running.out).toMatch(/Code for the next device: [A-Z2-9]{4}-[A-Z2-9]{4}\n/)
    expect(running.out).toContain('not encrypted')
    await upload(port, LOG)
    running.child.kill('SIGINT')
    await running.exit
  })

  test.each<[string, string[], number, RegExp]>([
    ['a place that is not there', ['serve', '/nowhere/at/all.log'], 3, /no such file or folder/],
    ['no port', ['serve', '--port', 'x'], 2, /--port x: a number from 0 to 65535/],
    ['no address', ['serve', '--live', 'tcp://nowhere'], 2, /--live: not a TCP address/],
    ['no level', ['serve', '--log', 'loud'], 2, /--log loud: one of/],
    ['nothing to do', ['library'], 2, /library backup FOLDER/],
    ['a backup of nothing', ['library', 'backup', '/tmp/x', '--library', '/nowhere'], 3, /holds no library/],
  ])('refuses %s', async (_, args, code, words) => {
    const running = new Running(...args)
    expect(await running.exit).toBe(code)
    expect(running.errors).toMatch(words)
  })

  test('says which port is taken', async () => {
    const taken = createServer().listen(0, '127.0.0.1')
    later(() => taken.close())
    const { port } = await vi.waitUntil(() => taken.address() as { port: number } | null)
    const running = new Running('serve', '--library', join(await newFolder(), 'library'), '--port', `${port}`)
    expect(await running.exit).toBe(1)
    expect(running.errors).toMatch(new RegExp(`port ${port} is in use`))
  })
})
