/** The library with its real folder and database; the thread's work is done in place. */
import { access, copyFile, mkdir, mkdtemp, readdir, readFile, rm, symlink, utimes, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Readable } from 'node:stream'
import { gzipSync } from 'node:zlib'
import { FeedError, type Run } from '@firstcrank/feed'
import { pino } from 'pino'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { examineFile } from '../workers/examine.js'
import type { LogPlace } from '../workers/places.js'
import { backUpLibrary, restoreLibrary } from './backup.js'
import { DATABASE_FILE, DATABASE_VERSION, LibraryError, openDatabase, versionOf } from './database.js'
import { Library } from './library.js'
import { lockFolder } from './lock.js'
import { SessionStore } from './session-store.js'

const silent = pino({ level: 'silent' })
const SUMMARY = {
  from: 1e15,
  to: 2e15,
  dated: true,
  channels: ['can0'],
  frames: 2,
  malformed: 0,
  nodes: [],
  identity: 'RESCUE-1',
  faults: [],
  faultCount: 0,
}

let folder: string
let open: Library[] = []
const read: LogPlace[] = []
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'firstcrank-library-'))
  read.length = 0
  notices.length = 0
})
afterEach(async () => {
  for (const library of open) await library.close()
  open = []
  await rm(folder, { recursive: true })
})

const thread = {
  call: async (method: string, argument: unknown): Promise<unknown> => {
    const { path, limit } = argument as { path: string; limit: number }
    if (method === 'examine') return examineFile(path, limit)
    read.push(argument as LogPlace)
    if ((await readFile(path)).includes('BROKEN')) throw new FeedError('internal', 'broken')
    return { summary: SUMMARY, verdict: null, report: null, problem: null }
  },
}

const notices: string[] = []
async function library(options: { outside?: string[]; maxUpload?: number; maxUnpacked?: number; at?: string } = {}) {
  const { at = join(folder, 'library'), ...rest } = options
  const opened = await Library.open({
    folder: at,
    maxUpload: 1e6,
    maxUnpacked: 4e6,
    ...rest,
    thread,
    log: silent,
    onNotice: (text) => notices.push(text),
  })
  open.push(opened)
  await opened.start()
  return opened
}

const log = (n: number): string => `(1700000000.${String(n).padStart(6, '0')}) can0 0CF00400#FFFFFF6813FFFFFF\n`
const put = (to: Library, text: string | Buffer, name = 'run.log') =>
  to.receive(Readable.from([Buffer.from(text)]), name)
const settled = (from: Library): Promise<boolean> => vi.waitUntil(() => from.waiting === 0)
const list = (from: Library, trashed: 'no' | 'only' = 'no'): Run[] =>
  from.runs.list({ trashed, limit: 100, skip: 0 }).runs
const old = (path: string) => utimes(path, new Date(2020, 1, 1), new Date(2020, 1, 1))

describe('an upload', () => {
  test('becomes a run, is read, and lies in the folder under a name of our own', async () => {
    const lib = await library()
    const { run, duplicate } = await put(lib, log(1), '../../etc/first start.log')
    expect(duplicate).toBe(false)
    expect(run).toMatchObject({ title: 'first start', state: 'reading', summary: null, session: null })
    expect(await readdir(lib.folder.logs)).toEqual([`${run.id}.log`])
    expect(await readFile(lib.place(run.id).path, 'utf8')).toBe(log(1))
    await settled(lib)
    expect(lib.runs.get(run.id)).toMatchObject({ state: 'ready', summary: SUMMARY })
  })

  test('of a log that is there already is the run that is there, packed or not', async () => {
    const lib = await library()
    const first = await put(lib, log(1), 'one.log')
    const again = await put(lib, log(1), 'two.log')
    const packed = await put(lib, gzipSync(log(1)), 'three.log.gz')
    expect([again.duplicate, packed.duplicate]).toEqual([true, true])
    expect(again.run.id).toBe(first.run.id)
    expect(packed.run.title).toBe('one')
    expect(await readdir(lib.folder.logs)).toHaveLength(1)
  })

  test.each([
    ['too many bytes', 'x'.repeat(2_000_000), 'too-large'],
    ['too many bytes unpacked', gzipSync(log(1).repeat(100_000)), 'unpacked-too-large'],
    ['no log', 'a letter home\n', 'not-a-log'],
    ['nothing', '', 'not-a-log'],
    ['a picture', Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 0, 0, 0]), 'not-a-log'],
    ['an archive of no log', gzipSync('a letter home\n'), 'not-a-log'],
  ])('of %s is refused and leaves nothing', async (_, content, code) => {
    const lib = await library()
    await expect(put(lib, content)).rejects.toMatchObject({ code })
    expect(await readdir(lib.folder.logs)).toEqual([])
    expect(list(lib)).toEqual([])
  })

  test('that breaks off leaves nothing', async () => {
    const lib = await library()
    const broken = Readable.from(
      (async function* () {
        yield Buffer.from(log(1))
        throw new Error('gone')
      })(),
    )
    await expect(lib.receive(broken, 'x')).rejects.toThrow('gone')
    expect(await readdir(lib.folder.logs)).toEqual([])
  })

  test('that a killed server had half received is gone at the next start', async () => {
    const logs = join(folder, 'library', 'logs')
    await mkdir(logs, { recursive: true })
    for (const name of ['.upload-0123', '.replay-0123', 'kept.log']) await writeFile(join(logs, name), log(1))
    await library()
    expect(await readdir(logs)).toEqual(['kept.log'])
  })

  test('of a damaged archive keeps what can be unpacked', async () => {
    const lib = await library()
    const whole = gzipSync(Array.from({ length: 500 }, (_, n) => log(n)).join(''))
    const { run } = await put(lib, whole.subarray(0, whole.length - 20))
    expect(run.file.packed).toBe(true)
  })

  test('that cannot be read is there all the same, and says so', async () => {
    const lib = await library()
    const { run } = await put(lib, `${log(1)}# BROKEN\n`)
    await settled(lib)
    expect(lib.runs.get(run.id)).toMatchObject({ state: 'failed', problem: 'internal' })
  })
})

describe('a file put into the folder', () => {
  test('becomes a run where it lies, once it rests', async () => {
    const lib = await library()
    const path = join(lib.folder.path, 'dropped.log')
    await writeFile(path, log(2))
    await lib.scan()
    expect(list(lib)).toEqual([])
    await old(path)
    await lib.scan()
    const [run] = list(lib)
    expect(run).toMatchObject({ title: 'dropped', file: { name: 'dropped.log', kept: 'library' } })
    await access(path)
  })

  test('that is no log is left alone, and looked at once', async () => {
    const lib = await library()
    const path = join(lib.folder.path, 'letter.txt')
    await writeFile(path, 'dear all\n')
    await old(path)
    await lib.scan()
    await lib.scan()
    expect(list(lib)).toEqual([])
    expect(notices).toEqual(['letter.txt is not taken into the library: no line of it can be read as a CAN frame'])
    await access(path)
  })

  test('that is a damaged archive is there as far as it can be unpacked, and that is said', async () => {
    const lib = await library()
    const path = join(lib.folder.path, 'short.log.gz')
    const whole = gzipSync(Array.from({ length: 500 }, (_, n) => log(n)).join(''))
    await writeFile(path, whole.subarray(0, whole.length - 20))
    await old(path)
    await lib.scan()
    expect(list(lib)).toHaveLength(1)
    expect(notices).toEqual(['short.log.gz is damaged or ends early: what could be unpacked of it is shown'])
  })

  test('and taken away: the run stays, and says that its log is missing; it may come back', async () => {
    const lib = await library()
    const path = join(lib.folder.path, 'a.log')
    await writeFile(path, log(3))
    await old(path)
    await lib.scan()
    await settled(lib)
    const [run] = list(lib) as [Run]
    lib.runs.change(run.id, { notes: 'keep these' })
    await rm(path)
    await lib.scan()
    expect(lib.runs.get(run.id)).toMatchObject({ state: 'missing', notes: 'keep these' })
    expect(() => lib.place(run.id)).toThrow(expect.objectContaining({ code: 'file-missing' }))
    await writeFile(join(lib.folder.path, 'under another name.log'), log(3))
    await old(join(lib.folder.path, 'under another name.log'))
    await lib.scan()
    expect(lib.runs.get(run.id)).toMatchObject({ state: 'ready', notes: 'keep these' })
  })

  test('is not followed where it is a link', async () => {
    const lib = await library()
    await writeFile(join(folder, 'secret.log'), log(4))
    await old(join(folder, 'secret.log'))
    await symlink(join(folder, 'secret.log'), join(lib.folder.path, 'link.log'))
    await lib.scan()
    expect(list(lib)).toEqual([])
  })

  test('twice is one run', async () => {
    const lib = await library()
    for (const name of ['a.log', 'b.log']) {
      await writeFile(join(lib.folder.path, name), log(5))
      await old(join(lib.folder.path, name))
    }
    await lib.scan()
    expect(list(lib)).toHaveLength(1)
    await rm(join(lib.folder.path, 'a.log'))
    await lib.scan()
    expect(list(lib)[0]?.state).not.toBe('missing')
  })
})

describe('a folder outside', () => {
  test('is shown, with its folders, and never changed', async () => {
    const outside = join(folder, 'logs of mine')
    await mkdir(join(outside, 'deep'), { recursive: true })
    await writeFile(join(outside, 'deep', 'x.log.gz'), gzipSync(log(6)))
    await old(join(outside, 'deep', 'x.log.gz'))
    const lib = await library({ outside: [outside] })
    const [run] = list(lib) as [Run]
    expect(run).toMatchObject({ title: 'x', file: { kept: 'outside', packed: true } })
    lib.trash(run.id)
    expect(lib.runs.get(run.id).trashed).not.toBeNull()
    await access(join(outside, 'deep', 'x.log.gz'))
    expect(await readdir(outside, { recursive: true })).toEqual(['deep', 'deep/x.log.gz'])
  })

  test('stays known to a server that was not pointed at it, as long as its logs are there', async () => {
    const outside = join(folder, 'run of last week.log')
    await writeFile(outside, log(7))
    await old(outside)
    const first = await library({ outside: [outside] })
    await settled(first)
    await first.close()
    open = []
    const later = await library()
    expect(list(later)).toMatchObject([{ title: 'run of last week', state: 'ready' }])
    expect(later.place(list(later)[0]?.id ?? '').path).toBe(outside)
    await rm(outside)
    await later.scan()
    expect(list(later)).toMatchObject([{ state: 'missing' }])
  })
})

describe('the trash', () => {
  test('takes the log, and gives it back', async () => {
    const lib = await library()
    const { run } = await put(lib, log(7))
    await settled(lib)
    lib.trash(run.id)
    expect(list(lib)).toEqual([])
    expect(list(lib, 'only')).toHaveLength(1)
    expect(await readdir(lib.folder.trash)).toEqual([`${run.id}.log`])
    await lib.scan()
    expect(lib.runs.get(run.id).state).toBe('ready')
    lib.restore(run.id)
    expect(list(lib)).toHaveLength(1)
    expect(await readFile(lib.place(run.id).path, 'utf8')).toBe(log(7))
  })

  test('is left by a log that is uploaded again', async () => {
    const lib = await library()
    const { run } = await put(lib, log(8))
    lib.trash(run.id)
    expect((await put(lib, log(8))).duplicate).toBe(true)
    expect(list(lib).map(({ id }) => id)).toEqual([run.id])
  })
})

describe('what a person writes', () => {
  test('is kept, found, and counted in revisions', async () => {
    const lib = await library()
    const { run } = await put(lib, log(9))
    await put(lib, log(10), 'other')
    await settled(lib)
    const before = lib.runs.get(run.id).revision
    lib.runs.change(run.id, {
      title: 'After the new pump',
      vehicle: 'Rescue 1',
      notes: '100% sure_ly',
      fixed: 'fuel pump',
    })
    lib.runs.tick(run.id, 'coolant-level', 'full')
    const changed = lib.runs.get(run.id)
    expect(changed).toMatchObject({ vehicle: 'Rescue 1', checks: [{ check: 'coolant-level', note: 'full' }] })
    expect(changed.revision).toBeGreaterThan(before)
    const find = (text: string) => lib.runs.list({ text, trashed: 'no', limit: 9, skip: 0 }).total
    expect([find('new PUMP'), find('rescue 1'), find('100%'), find('%sure'), find('sure_ly'), find('nothing')]).toEqual(
      [1, 1, 1, 0, 1, 0],
    )
    // The vehicle's own identification is found too.
    expect(find('RESCUE-1')).toBe(2)
    expect(lib.runs.vehicles()).toEqual(['Rescue 1'])
    lib.runs.untick(run.id, 'coolant-level')
    expect(lib.runs.get(run.id).checks).toEqual([])
    const pins = [
      { time: 9_000_000, text: 'smoke here' },
      { time: 4_000_000, text: 'key on' },
    ]
    lib.runs.change(run.id, { pins })
    expect(lib.runs.get(run.id).pins.map(({ text }) => text)).toEqual(['key on', 'smoke here'])
    expect([find('smoke'), find('text')]).toEqual([1, 0])
  })

  test('is refused where somebody else was faster', async () => {
    const lib = await library()
    const { run } = await put(lib, log(11))
    await settled(lib)
    const { revision } = lib.runs.get(run.id)
    lib.runs.change(run.id, { notes: 'one' }, revision)
    expect(() => lib.runs.change(run.id, { notes: 'two' }, revision)).toThrow(
      expect.objectContaining({ code: 'changed' }),
    )
  })

  test('with another profile makes the run be read again', async () => {
    const lib = await library()
    const { run } = await put(lib, log(12))
    await settled(lib)
    read.length = 0
    lib.runs.change(run.id, { profile: { version: 1, title: 'mine' } })
    lib.reread()
    await settled(lib)
    expect(read.map(({ profile }) => profile)).toEqual([{ version: 1, title: 'mine' }])
  })
})

describe('the database', () => {
  test('that has lost a summary gets it from the log', async () => {
    const lib = await library()
    const { run } = await put(lib, log(12))
    await settled(lib)
    lib.database.exec('update run set summary = null, verdict = null, report = null')
    await lib.close()
    open = []
    const anew = await library()
    await settled(anew)
    expect(anew.runs.get(run.id)).toMatchObject({ state: 'ready', summary: SUMMARY })
  })

  test('that is lost is made anew from the logs', async () => {
    const lib = await library()
    const { run } = await put(lib, log(13))
    const path = join(lib.folder.path, 'dropped.log')
    await writeFile(path, log(14))
    await old(path)
    await lib.scan()
    await settled(lib)
    await lib.close()
    open = []
    for (const name of ['', '-wal', '-shm']) await rm(join(lib.folder.path, DATABASE_FILE + name), { force: true })
    await old(join(lib.folder.logs, `${run.id}.log`))
    const anew = await library()
    await settled(anew)
    expect(list(anew).map(({ id }) => id)).toContain(run.id)
    expect(list(anew)).toHaveLength(2)
    expect(anew.runs.get(run.id)).toMatchObject({ state: 'ready', summary: SUMMARY })
  })

  test('of a newer program is refused, and left as it is', async () => {
    const lib = await library()
    lib.database.exec(`pragma user_version = ${DATABASE_VERSION + 1}`)
    await lib.close()
    open = []
    await expect(library()).rejects.toMatchObject({ code: 'library-too-new' })
    // The refusal has let go of the folder.
    lockFolder(join(folder, 'library')).release()
  })

  test('that is none is refused', async () => {
    await mkdir(join(folder, 'library'))
    await writeFile(join(folder, 'library', DATABASE_FILE), 'this is no database'.repeat(100))
    await expect(library()).rejects.toMatchObject({ code: 'library-damaged' })
  })

  test('of an older program is copied, then brought to the newest form, and loses nothing', async () => {
    const at = join(folder, 'library')
    const lib = await library()
    const { run } = await put(lib, log(1))
    lib.runs.change(run.id, { notes: 'older than pins' })
    await settled(lib)
    await lib.close()
    open = []
    const before = openDatabase(at)
    before.exec('alter table run drop column pins; pragma user_version = 1')
    before.close()
    const after = await library()
    expect(versionOf(after.database)).toBe(DATABASE_VERSION)
    expect(after.runs.get(run.id)).toMatchObject({ notes: 'older than pins', pins: [] })
    expect(await readdir(join(at, 'backups'))).toEqual([
      expect.stringMatching(new RegExp(`^before-version-${DATABASE_VERSION}-\\d+\\.db$`)),
    ])
  })

  test('comes to its newest form at once', () => {
    const database = openDatabase(join(folder, 'new'))
    expect(versionOf(database)).toBe(DATABASE_VERSION)
    database.close()
  })
})

test('a folder that cannot be one is refused with the reason', async () => {
  const place = join(folder, 'a file')
  await writeFile(place, 'x')
  await expect(library({ at: place })).rejects.toMatchObject({
    code: 'library-unusable',
    message: `${place} cannot be a library: a file is in its place`,
  })
  await mkdir(join(folder, 'odd', 'lock.db'), { recursive: true })
  await expect(library({ at: join(folder, 'odd') })).rejects.toMatchObject({ code: 'library-unusable' })
})

describe('a second server', () => {
  test('on one folder is refused, and told where the first is', async () => {
    const lib = await library()
    lib.lock.tell('http://localhost:8321')
    const refused = library()
    await expect(refused).rejects.toBeInstanceOf(LibraryError)
    await expect(refused).rejects.toMatchObject({
      code: 'library-in-use',
      message: expect.stringContaining(`process ${process.pid} at http://localhost:8321`),
    })
    await lib.close()
    open = []
    await library()
  })
})

describe('a backup', () => {
  test('is a library, made while the server runs, and comes back', async () => {
    const lib = await library()
    const { run } = await put(lib, log(15))
    const trashed = await put(lib, log(16))
    await settled(lib)
    lib.runs.change(run.id, { notes: 'precious' })
    lib.trash(trashed.run.id)
    const to = join(folder, 'backup')
    expect(await backUpLibrary(lib.folder.path, to)).toMatchObject({ runs: 2, files: 2 })
    // Again: what is there is not copied anew.
    expect(await backUpLibrary(lib.folder.path, to)).toMatchObject({ runs: 2, files: 2 })

    const fresh = join(folder, 'restored')
    expect(await restoreLibrary(to, fresh)).toMatchObject({ runs: 2, files: 2 })
    const restored = await library({ at: fresh })
    expect(restored.runs.get(run.id)).toMatchObject({ notes: 'precious', state: 'ready' })
    expect(await readFile(restored.place(run.id).path, 'utf8')).toBe(log(15))
    expect(list(restored, 'only')).toHaveLength(1)
  })

  test('is not restored over runs, nor from what is none', async () => {
    const lib = await library()
    await put(lib, log(17))
    const to = join(folder, 'backup')
    await backUpLibrary(lib.folder.path, to)
    await lib.close()
    open = []
    await expect(restoreLibrary(to, lib.folder.path)).rejects.toMatchObject({ code: 'library-not-empty' })
    await expect(restoreLibrary(join(folder, 'nothing'), to)).rejects.toMatchObject({ code: 'not-a-backup' })
    await expect(backUpLibrary(join(folder, 'nothing'), to)).rejects.toMatchObject({ code: 'not-a-backup' })
    await copyFile(join(to, DATABASE_FILE), join(folder, 'x.db'))
  })
})

describe('sessions', () => {
  test('that were not ended are known after a restart', async () => {
    const lib = await library()
    const sessions = new SessionStore(lib.database)
    sessions.begin('live-1', 'standard input')
    sessions.setFile('live-1', 'logs/live-1-001.log', 1)
    sessions.begin('live-2', 'tcp://127.0.0.1:5000')
    sessions.end('live-2')
    await lib.close()
    open = []
    const again = new SessionStore((await library()).database)
    expect(again.open()).toEqual([
      expect.objectContaining({ id: 'live-1', title: 'standard input', file: 'logs/live-1-001.log', part: 1 }),
    ])
  })
})
