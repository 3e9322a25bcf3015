/** Logs that are moved or copied: none takes the place of another. */
import { mkdtemp, readdir, readFile, rm, symlink, utimes, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Readable } from 'node:stream'
import type { Run } from '@firstcrank/feed'
import { pino } from 'pino'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { examineFile } from '../workers/examine.js'
import { backUpLibrary } from './backup.js'
import { Library } from './library.js'
import { lockFolder } from './lock.js'

let folder: string
let open: Library[] = []
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'firstcrank-copies-'))
})
afterEach(async () => {
  for (const library of open) await library.close()
  open = []
  await rm(folder, { recursive: true })
})

/** The threads' work, done in place; what is in the logs does not matter here. */
const thread = {
  call: async (method: string, argument: unknown): Promise<unknown> => {
    const { path, limit } = argument as { path: string; limit: number }
    return method === 'examine' ? examineFile(path, limit) : Promise.reject(new Error('not read here'))
  },
}

async function library(name = 'library'): Promise<Library> {
  const limits = { maxUpload: 1e6, maxUnpacked: 1e6 }
  const opened = await Library.open({ folder: join(folder, name), ...limits, thread, log: pino({ level: 'silent' }) })
  open.push(opened)
  await opened.start()
  return opened
}

const log = (n: number): string => `(1700000000.${String(n).padStart(6, '0')}) can0 0CF00400#FFFFFF6813FFFFFF\n`
const put = (to: Library, text: string) => to.receive(Readable.from([Buffer.from(text)]), 'run.log')
const list = (from: Library): Run[] => from.runs.list({ trashed: 'no', limit: 100, skip: 0 }).runs

/** Puts a file into the folder itself, as one that has rested. */
async function drop(into: Library, name: string, text: string): Promise<void> {
  const path = join(into.folder.path, name)
  await writeFile(path, text)
  await utimes(path, new Date(2020, 1, 1), new Date(2020, 1, 1))
  await into.scan()
}

describe('the trash', () => {
  test('keeps logs of one name apart, on the way in and on the way out', async () => {
    const lib = await library()
    const ids: string[] = []
    for (const n of [31, 32, 33]) {
      await drop(lib, 'run.log', log(n))
      const { id } = list(lib)[0] as Run
      lib.trash(id)
      ids.push(id)
    }
    expect(await readdir(lib.folder.trash)).toHaveLength(3)
    for (const id of ids) lib.restore(id)
    const kept = await Promise.all(ids.map((id) => readFile(lib.place(id).path, 'utf8')))
    expect(kept).toEqual([log(31), log(32), log(33)])
  })

  test('takes every copy of the log that is in the library', async () => {
    const lib = await library()
    const { run } = await put(lib, log(34))
    await drop(lib, 'copy.log', log(34))
    lib.trash(run.id)
    expect(await readdir(lib.folder.logs)).toEqual([])
    expect(await readdir(lib.folder.trash)).toHaveLength(2)
    lib.restore(run.id)
    expect(await readFile(lib.place(run.id).path, 'utf8')).toBe(log(34))
    expect(await readdir(lib.folder.trash)).toEqual([])
  })

  test('takes what is left where a copy was removed by hand', async () => {
    const lib = await library()
    await drop(lib, 'a.log', log(35))
    await drop(lib, 'b.log', log(35))
    const { id } = list(lib)[0] as Run
    await rm(join(lib.folder.path, 'b.log'))
    lib.trash(id)
    expect(list(lib)).toEqual([])
    expect(await readdir(lib.folder.trash)).toEqual(['a.log'])
    lib.restore(id)
    expect(await readFile(lib.place(id).path, 'utf8')).toBe(log(35))
  })

  test('gives back what was in it; a copy that came meanwhile stays where it lies', async () => {
    const lib = await library()
    const { run } = await put(lib, log(37))
    lib.trash(run.id)
    await drop(lib, 'c.log', log(37))
    lib.restore(run.id)
    expect(await readdir(lib.folder.logs)).toEqual([`${run.id}.log`])
    expect(await readFile(join(lib.folder.path, 'c.log'), 'utf8')).toBe(log(37))
    expect(await readdir(lib.folder.trash)).toEqual([])
  })

  test('that was emptied by hand gives back a run without its log, until the log comes again', async () => {
    const lib = await library()
    const { run } = await put(lib, log(36))
    lib.trash(run.id)
    for (const name of await readdir(lib.folder.trash)) await rm(join(lib.folder.trash, name))
    lib.restore(run.id)
    expect(lib.runs.get(run.id)).toMatchObject({ state: 'missing', trashed: null })
    await put(lib, log(36))
    expect(await readFile(lib.place(run.id).path, 'utf8')).toBe(log(36))
    lib.trash(run.id)
    for (const name of await readdir(lib.folder.trash)) await rm(join(lib.folder.trash, name))
    expect((await put(lib, log(36))).run).toMatchObject({ id: run.id, trashed: null })
    expect(await readFile(lib.place(run.id).path, 'utf8')).toBe(log(36))
  })
})

test('a backup is not made into the library itself, nor into one that is served', async () => {
  const lib = await library()
  const { run } = await put(lib, log(18))
  await symlink(lib.folder.path, join(folder, 'same'))
  for (const to of [lib.folder.path, join(folder, 'same')]) {
    await expect(backUpLibrary(lib.folder.path, to)).rejects.toThrow('is the library itself')
  }
  const other = await library('other')
  await expect(backUpLibrary(lib.folder.path, other.folder.path)).rejects.toMatchObject({ code: 'library-in-use' })
  expect(list(other)).toEqual([])
  expect(lib.runs.get(run.id).id).toBe(run.id)
})

test('a backup into a folder into which another is being made says so', async () => {
  const lib = await library()
  const to = join(folder, 'copy')
  const first = lockFolder(to, 'backup')
  const message = `${to} is in use: process ${process.pid} is copying a library into it`
  await expect(backUpLibrary(lib.folder.path, to)).rejects.toMatchObject({ code: 'library-in-use', message })
  first.release()
  await backUpLibrary(lib.folder.path, to)
  expect(await readdir(to)).not.toContain('server.json')
})
