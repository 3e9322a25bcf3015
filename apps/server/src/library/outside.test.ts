import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { whatIsAt } from './outside.js'

let folder: string
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'firstcrank-outside-'))
})
afterEach(() => rm(folder, { recursive: true }))

const LOG = '(1700000000.000001) can0 0CF00400#FFFFFF6813FFFFFF\n'

test.each<[string, (place: string) => Promise<unknown>, string]>([
  ['a log', (place) => writeFile(place, LOG), 'log'],
  ['a packed log', (place) => writeFile(place, gzipSync(LOG)), 'log'],
  ['a log that does not end in a newline', (place) => writeFile(place, LOG.trimEnd()), 'log'],
  ['a letter', (place) => writeFile(place, 'dear all\n'), 'no-log'],
  ['nothing at all', (place) => writeFile(place, ''), 'no-log'],
  ['half an archive of nothing', (place) => writeFile(place, gzipSync('x'.repeat(99)).subarray(0, 12)), 'no-log'],
  ['a large file of zeros', (place) => writeFile(place, new Uint8Array(3_000_000)), 'no-log'],
  ['an empty folder', (place) => mkdir(place), 'no-logs'],
  ['a folder of folders', (place) => mkdir(join(place, 'deep'), { recursive: true }), 'no-logs'],
])('is looked at before: %s', async (_, make, found) => {
  const place = join(folder, 'place')
  await make(place)
  expect(await whatIsAt(place)).toBe(found)
})

test('is looked at before: one with a log in it, and one that is not there', async () => {
  await mkdir(join(folder, 'place', 'deep'), { recursive: true })
  await writeFile(join(folder, 'place', 'deep', 'x.log'), LOG)
  expect(await whatIsAt(join(folder, 'place'))).toBe('folder')
  await expect(whatIsAt(join(folder, 'nowhere'))).rejects.toMatchObject({ code: 'ENOENT' })
})
