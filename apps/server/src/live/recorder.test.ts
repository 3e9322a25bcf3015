import type { FileHandle } from 'node:fs/promises'
import { mkdtemp, open, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { MARKER, Recorder, type RecorderOptions } from './recorder.js'

let folder: string
const recorders: Recorder[] = []
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'firstcrank-recorder-'))
})
afterEach(async () => {
  for (const recorder of recorders.splice(0)) await recorder.stop()
  await rm(folder, { recursive: true })
})

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text)
const lines = (from: number, to: number): string =>
  Array.from({ length: to - from }, (_, i) => `(1.${from + i}) can0 123#${from + i}\n`).join('')

function recorder(options: Partial<RecorderOptions> = {}): Recorder {
  const made = new Recorder({ folder, session: 'live-1', title: 'a test', syncEvery: 50, retryEvery: 150, ...options })
  recorders.push(made)
  return made
}

/** What a file holds without this program's own lines, and those. */
async function read(name: string) {
  const all = (await readFile(join(folder, name), 'latin1')).split('\n').slice(0, -1)
  return {
    log: all
      .filter((line) => !line.startsWith(MARKER))
      .map((line) => `${line}\n`)
      .join(''),
    markers: all
      .filter((line) => line.startsWith(MARKER))
      .map((line) => line.slice(MARKER.length).replace(/^\S+ /, '')),
  }
}

/** Opens files whose writes do as they are told. */
function disk(fail: (bytes: Uint8Array) => number | Error | undefined): typeof open {
  return (async (...given: Parameters<typeof open>) => {
    const file = await open(...given)
    const write = file.write.bind(file) as (data: Uint8Array) => Promise<{ bytesWritten: number }>
    file.write = (async (data: Uint8Array) => {
      const outcome = fail(data)
      if (outcome instanceof Error) throw outcome
      return write(outcome === undefined ? data : data.subarray(0, outcome))
    }) as unknown as FileHandle['write']
    return file
  }) as typeof open
}

const full = (): Error => Object.assign(new Error('ENOSPC: no space left on device, write'), { code: 'ENOSPC' })

describe('recording', () => {
  test('appends lines, begun and ended by markers, and tells what is on the disk', async () => {
    const files: [string, number, boolean][] = []
    const one = recorder({ onFile: (file, part, complete) => files.push([file, part, complete]) })
    one.write(bytes(lines(0, 3)))
    one.write(bytes(lines(3, 5)))
    await vi.waitUntil(() => one.status.synced > 0 && one.status.synced === one.status.written)
    one.note('source lost: it was unplugged')
    one.write(bytes(lines(5, 6)))
    await one.stop()
    const { log, markers } = await read('live-1-001.log')
    expect(log).toBe(lines(0, 6))
    expect(markers).toEqual(['session live-1 part 1 begun: a test', 'source lost: it was unplugged', 'session ended'])
    expect(one.status).toMatchObject({ state: 'stopped', part: 1, dropped: 0 })
    expect(one.status.synced).toBe((await readFile(join(folder, 'live-1-001.log'))).length)
    const path = join(folder, 'live-1-001.log')
    expect(files).toEqual([
      [path, 1, false],
      [path, 1, true],
    ])
  })

  test('syncs at its interval, not before', async () => {
    const one = recorder({ syncEvery: 400 })
    one.write(bytes(lines(0, 1)))
    await vi.waitUntil(() => one.status.synced > 0)
    const begun = performance.now()
    one.write(bytes(lines(1, 2)))
    await vi.waitUntil(() => one.status.written > one.status.synced)
    await vi.waitUntil(() => one.status.synced === one.status.written)
    expect(performance.now() - begun).toBeGreaterThan(150)
  })

  test('keeps its own copy of what it is given', async () => {
    const one = recorder()
    const chunk = bytes(lines(0, 2))
    one.write(chunk)
    chunk.fill(0x2a)
    await one.stop()
    expect((await read('live-1-001.log')).log).toBe(lines(0, 2))
  })

  test('of nothing leaves no file', async () => {
    const one = recorder()
    one.note('source lost: never there')
    await one.stop()
    expect(await readdir(folder)).toEqual([])
    expect(one.status.state).toBe('stopped')
  })

  test('goes on in another file when one is full', async () => {
    const one = recorder({ rotateAt: 2_000 })
    let expected = ''
    for (let i = 0; i < 6; i++) {
      const some = lines(i * 50, i * 50 + 50)
      one.write(bytes(some))
      expected += some
      await vi.waitUntil(() => one.status.written > expected.length * 0.9)
    }
    await one.stop()
    const names = (await readdir(folder)).sort()
    expect(names.length).toBeGreaterThan(2)
    const parts = await Promise.all(names.map(read))
    expect(parts.map(({ log }) => log).join('')).toBe(expected)
    expect(parts[1]?.markers[0]).toBe('session live-1 part 2 continued: a test')
  })
})

describe('a recording that was broken off', () => {
  test('is gone on with behind its last whole line', async () => {
    const path = join(folder, 'live-1-003.log')
    await writeFile(path, `${lines(0, 4)}(1.4) can0 12`)
    const one = recorder({ resume: { file: path, part: 3 } })
    one.write(bytes(lines(10, 12)))
    await one.stop()
    const { log, markers } = await read('live-1-003.log')
    expect(log).toBe(lines(0, 4) + lines(10, 12))
    expect(markers[0]).toBe('session live-1 part 3 resumed: a test')
  })

  test('with no whole line is begun again', async () => {
    const path = join(folder, 'live-1-001.log')
    await writeFile(path, '(1.4) can0 12')
    const one = recorder({ resume: { file: path, part: 1 } })
    one.write(bytes(lines(0, 1)))
    await one.stop()
    expect((await read('live-1-001.log')).log).toBe(lines(0, 1))
  })
})

describe('a disk that is slow', () => {
  test('is synced, and files become full, while lines come faster than it writes', async () => {
    let syncs = 0
    const one = recorder({
      syncEvery: 100,
      rotateAt: 20_000,
      openFile: (async (...given: Parameters<typeof open>) => {
        const file = await open(...given)
        const write = file.write.bind(file) as (data: Uint8Array) => Promise<{ bytesWritten: number }>
        file.write = (async (data: Uint8Array) => {
          await new Promise((resolve) => setTimeout(resolve, 30))
          return write(data)
        }) as unknown as FileHandle['write']
        const datasync = file.datasync.bind(file)
        file.datasync = () => {
          syncs++
          return datasync()
        }
        return file
      }) as typeof open,
    })
    let expected = ''
    let n = 0
    const sender = setInterval(() => {
      const some = lines(n * 100, ++n * 100)
      expected += some
      one.write(bytes(some))
    }, 10)
    try {
      await vi.waitUntil(() => syncs >= 3 && one.status.part >= 3, { timeout: 5_000 })
    } finally {
      clearInterval(sender)
    }
    await one.stop()
    const parts = await Promise.all((await readdir(folder)).sort().map(read))
    expect(parts.map(({ log }) => log).join('')).toBe(expected)
  })

  test('is told of; what had to be dropped is marked where it is missing', async () => {
    const states: [string, string][] = []
    const one = recorder({ onState: (state, detail) => states.push([state, detail]) })
    const megabyte = `${'x'.repeat(1_023)}\n`.repeat(1_024)
    // All in one turn: nothing of it can be written meanwhile.
    for (let i = 0; i < 15; i++) one.write(bytes(megabyte))
    one.write(bytes(megabyte.repeat(2)))
    expect(one.status).toMatchObject({ state: 'failed', dropped: 2 * 1_024 })
    // One long gap rather than many short ones: what would have room is dropped as well, until there is much.
    one.write(bytes(lines(5, 6)))
    expect(one.status.dropped).toBe(2 * 1_024 + 1)
    await vi.waitUntil(() => one.status.state === 'recording', { timeout: 5_000 })
    one.write(bytes(lines(0, 1)))
    await one.stop()
    expect(states.slice(0, 2)).toEqual([
      ['failed', 'the disk is slower than what comes in'],
      ['recording', '2049 lines were not recorded'],
    ])
    const text = await readFile(join(folder, 'live-1-001.log'), 'latin1')
    expect(text).toMatch(/x\n# firstcrank \S+ gap: 2049 lines were not recorded\n\(1\.0\)/)
  })
})

/** More than may wait, given in one turn. */
function overwhelm(one: Recorder): void {
  const megabyte = bytes(`${'x'.repeat(1_023)}\n`.repeat(1_024))
  for (let i = 0; i < 17; i++) one.write(megabyte)
}

describe('a disk that cannot keep up', () => {
  test('is not waited for as a broken one is', async () => {
    let syncs = 0
    const states: string[] = []
    const one: Recorder = recorder({
      retryEvery: 60_000,
      onState: (state) => states.push(state),
      openFile: (async (...given: Parameters<typeof open>) => {
        const file = await open(...given)
        const datasync = file.datasync.bind(file)
        file.datasync = () => {
          if (++syncs === 1) overwhelm(one)
          return datasync()
        }
        return file
      }) as typeof open,
    })
    one.write(bytes(lines(0, 1)))
    await vi.waitUntil(() => states.length === 2, { timeout: 5_000 })
    expect(states).toEqual(['failed', 'recording'])
    one.write(bytes(lines(1, 2)))
    await vi.waitUntil(() => one.status.synced === one.status.written, { timeout: 5_000 })
    await one.stop()
    expect((await read('live-1-001.log')).log).toMatch(/\(1\.1\) can0 123#1\n$/)
  })

  test('has the end of the session marked, after what is missing', async () => {
    const one = recorder()
    overwhelm(one)
    expect(one.status.state).toBe('failed')
    await one.stop()
    expect(one.status.state).toBe('stopped')
    const { markers } = await read('live-1-001.log')
    expect(markers.slice(1)).toEqual(['gap: 1024 lines were not recorded', 'session ended'])
  })

  test('does not hide that it breaks', async () => {
    const states: [string, string][] = []
    let writes = 0
    const one = recorder({
      onState: (state, detail) => states.push([state, detail]),
      openFile: disk(() => (++writes === 1 ? 1_024 : Object.assign(new Error('EIO: i/o error'), { code: 'EIO' }))),
    })
    overwhelm(one)
    await vi.waitUntil(() => states.length === 2)
    expect(states.map(([, detail]) => detail)).toEqual([
      'the disk is slower than what comes in',
      'the disk or what it is on has failed (EIO)',
    ])
  })
})

describe('a disk that is full', () => {
  test('is told of; lines wait, and are written when there is room', async () => {
    let isFull = false
    const states: [string, string][] = []
    const one = recorder({
      openFile: disk(() => (isFull ? full() : undefined)),
      onState: (state, detail) => states.push([state, detail]),
    })
    one.write(bytes(lines(0, 2)))
    await vi.waitUntil(() => one.status.written > 0)
    isFull = true
    one.write(bytes(lines(2, 4)))
    await vi.waitUntil(() => one.status.state === 'disk-full')
    expect(one.status.detail).toMatch(/the disk is full/)
    one.write(bytes(lines(4, 6)))
    isFull = false
    await vi.waitUntil(() => one.status.state === 'recording', { timeout: 5_000 })
    await one.stop()
    expect((await read('live-1-001.log')).log).toBe(lines(0, 6))
    expect(states.map(([state]) => state)).toEqual(['disk-full', 'recording', 'stopped'])
  })

  test('in the middle of a line gets the rest of it later, and nothing twice', async () => {
    let writes = 0
    const one = recorder({
      openFile: disk((data) => (++writes === 1 ? data.length - 5 : writes === 2 ? full() : undefined)),
    })
    one.write(bytes(lines(0, 10)))
    await vi.waitUntil(() => one.status.state === 'disk-full')
    await vi.waitUntil(() => one.status.state === 'recording', { timeout: 5_000 })
    await one.stop()
    expect((await read('live-1-001.log')).log).toBe(lines(0, 10))
  })

  test('for long: the newest lines are dropped, counted, and marked', async () => {
    let isFull = true
    const one = recorder({ openFile: disk(() => (isFull ? full() : undefined)) })
    const megabyte = `${'x'.repeat(1_023)}\n`.repeat(1_024)
    for (let i = 0; i < 18; i++) one.write(bytes(megabyte))
    await vi.waitUntil(() => one.status.state === 'disk-full')
    expect(one.status.dropped).toBe(2 * 1_024)
    isFull = false
    await vi.waitUntil(() => one.status.state === 'recording', { timeout: 5_000 })
    one.write(bytes(lines(0, 1)))
    await one.stop()
    const { log, markers } = await read('live-1-001.log')
    expect(log).toBe(megabyte.repeat(16) + lines(0, 1))
    expect(markers).toContain('gap: 2048 lines were not recorded')
  })

  test('keeps what was written before safe all the same', async () => {
    let isFull = false
    const one = recorder({ syncEvery: 60_000, openFile: disk(() => (isFull ? full() : undefined)) })
    one.write(bytes(lines(0, 1)))
    await vi.waitUntil(() => one.status.written > 0)
    one.write(bytes(lines(1, 3)))
    await vi.waitUntil(() => one.status.written > one.status.synced)
    isFull = true
    one.write(bytes(lines(3, 4)))
    await vi.waitUntil(() => one.status.state === 'disk-full')
    expect(one.status.synced).toBe(one.status.written)
  })

  test('and cannot sync is not asked again at once, and what was written is not said to be safe', async () => {
    let syncs = 0
    const one = recorder({
      retryEvery: 100,
      openFile: (async (...given: Parameters<typeof open>) => {
        const file = await open(...given)
        const datasync = file.datasync.bind(file)
        file.datasync = () =>
          ++syncs === 1 ? Promise.reject(Object.assign(new Error('EIO: i/o error'), { code: 'EIO' })) : datasync()
        return file
      }) as typeof open,
    })
    one.write(bytes(lines(0, 10)))
    await vi.waitUntil(() => one.status.state === 'failed')
    expect(syncs).toBe(1)
    expect(one.status.synced).toBe(0)
    const doubtful = one.status.written
    one.write(bytes(lines(10, 20)))
    await vi.waitUntil(() => one.status.synced > 0, { timeout: 5_000 })
    expect(one.status.synced).toBe(one.status.written - doubtful)
    await one.stop()
    expect(one.status).toMatchObject({ state: 'stopped', synced: one.status.written - doubtful })
  })

  test('of another kind is told of too', async () => {
    const one = recorder({
      openFile: (() =>
        Promise.reject(Object.assign(new Error('EACCES: no'), { code: 'EACCES' }))) as unknown as typeof open,
    })
    one.write(bytes(lines(0, 1)))
    await vi.waitUntil(() => one.status.state === 'failed')
    expect(one.status.detail).toMatch(/EACCES/)
  })
})
