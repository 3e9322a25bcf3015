/** `firstcrank serve` and `firstcrank library`, as a person calls them. */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { mkdir, symlink, utimes, writeFile } from 'node:fs/promises'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
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
    ['a file that is no log', ['serve', COMMAND], 3, /firstcrank\.js is not a log: no line of it can be read/],
    ['a pipe for a log', ['serve', '/dev/stdin'], 3, /is no file; what comes through a pipe is read by --live -/],
    ['a file for a library', ['serve', '--library', COMMAND], 3, /cannot be a library: a file is in its place/],
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

  test('says what somebody at the terminal should know', async () => {
    const folder = await newFolder()
    await mkdir(join(folder, 'empty'))
    await mkdir(join(folder, 'mixed'))
    await writeFile(join(folder, 'mixed', 'letter.txt'), 'dear all\n')
    await writeFile(join(folder, 'mixed', 'half.log.gz'), gzipSync(LOG.repeat(20)).subarray(0, 900))
    await writeFile(join(folder, 'run.log'), LOG)
    await symlink(join(folder, 'run.log'), join(folder, 'link.log'))
    for (const name of ['letter.txt', 'half.log.gz']) await utimes(join(folder, 'mixed', name), 1e9, 1e9)
    const running = new Running(
      ...['serve', join(folder, 'empty'), join(folder, 'mixed'), join(folder, 'link.log')],
      ...['--live', join(folder, 'not yet.log'), '--live', 'tcp://127.0.0.1:1', '--port', '0'],
      ...['--library', join(folder, 'library')],
    )
    const port = await running.port()
    const expected = [
      /empty holds no log so far/,
      /letter\.txt is not taken into the library: no line of it can be read as a CAN frame/,
      /half\.log\.gz is damaged or ends early: what could be unpacked of it is shown/,
      /not yet\.log is not there; it is waited for/,
      /tcp:\/\/127\.0\.0\.1:1: nobody answers there/,
    ]
    await vi.waitUntil(() => expected.every((words) => words.test(running.out)), { timeout: 10_000 })
    await vi.waitUntil(async () => (await ask(port, '/api/runs')).json.total === 2, { timeout: 5_000 })
    running.child.kill('SIGTERM')
    expect([await running.exit, running.errors]).toEqual([0, ''])
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
