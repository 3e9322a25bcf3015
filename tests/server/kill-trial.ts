/**
 * One trial: a server that records is killed at a moment of chance, started again, and ended. Then
 * every byte it was given is compared with what lies on the disk.
 */
import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import Database from 'libsql'
import { startProcess } from './process.js'
import { ask, askJson } from './support.js'

/** What came of a trial. */
export interface TrialResult {
  /** Lines given before the kill, and those of them that are on the disk. */
  readonly given: number
  readonly kept: number
  /** Milliseconds before the kill at which the first lost line was given; 0 where none was lost. */
  readonly lost: number
  /** What is wrong; empty where nothing is. */
  readonly wrong: readonly string[]
}

const MARKER = '# firstcrank '
const SYNC_EVERY = 500

const line = (n: number): string => {
  const micros = String(1_700_000_000_000_000 + n * 250)
  return `(${micros.slice(0, -6)}.${micros.slice(-6)}) can0 0CF00400#${n.toString(16).padStart(16, '0').toUpperCase()}\n`
}

const pause = (milliseconds: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, milliseconds))

/** @param runFor milliseconds after which the server is killed */
export async function killTrial(folder: string, runFor: number): Promise<TrialResult> {
  const wrong: string[] = []
  const options = {
    library: folder,
    port: 0,
    live: [{ source: '-' }],
    recorder: { syncEvery: SYNC_EVERY },
  }
  const first = await startProcess(options)
  const upload = await ask(first.port, '/api/runs?name=before', { method: 'PUT', body: line(1_000_000_000) })
  const noted = await askJson(first.port, `/api/runs/${upload.json.run.id}`, 'PATCH', { notes: 'kept' })
  if (noted.status !== 200) wrong.push(`the note was refused: ${noted.text}`)

  const givenAt: number[] = []
  const begun = performance.now()
  while (performance.now() - begun < runFor) {
    let text = ''
    for (let i = 0; i < 40; i++) {
      text += line(givenAt.length)
      givenAt.push(performance.now())
    }
    first.child.stdin.write(text)
    await pause(10)
  }
  await first.kill()
  const killedAt = performance.now()
  const given = givenAt.length

  const after = await linesOf(folder)
  const kept = after.whole.length
  after.whole.forEach((found, n) => {
    if (`${found}\n` !== line(n)) wrong.push(`line ${n} is ${found}`)
  })
  const lost = kept < given ? killedAt - (givenAt[kept] as number) : 0
  if (lost > SYNC_EVERY) wrong.push(`a line of ${Math.round(lost)} ms before is lost`)

  const second = await startProcess(options)
  if (second.sources[0] !== first.sources[0]) wrong.push('the session was not resumed')
  const note = (await ask(second.port, `/api/runs/${upload.json.run.id}`)).json
  if (note.notes !== 'kept') wrong.push(`the note is ${JSON.stringify(note.notes)}`)
  for (let n = given; n < given + 200; n++) second.child.stdin.write(line(n))
  await pause(150)
  if ((await second.stop()) !== 0) wrong.push('it did not end well')

  const expected = [...after.whole.map((_, n) => n), ...Array.from({ length: 200 }, (_, i) => given + i)].map(line)
  const end = await linesOf(folder)
  if (end.whole.map((found) => `${found}\n`).join('') !== expected.join(''))
    wrong.push('the recording is not what was given')
  if (end.rest !== '') wrong.push(`the recording ends in ${end.rest}`)
  // A server killed before it wrote anything left nothing to go on with.
  if (kept > 0 && !end.markers.some((marker) => marker.includes('resumed')))
    wrong.push('nothing says that it was resumed')
  wrong.push(...databaseProblems(folder))
  return { given, kept, lost, wrong: wrong.slice(0, 5) }
}

/** The recording: whole lines, this program's own lines, and what follows the last newline. */
async function linesOf(folder: string) {
  const names = (await readdir(join(folder, 'logs'))).filter((name) => name.startsWith('live-')).sort()
  const texts = await Promise.all(names.map((name) => readFile(join(folder, 'logs', name), 'latin1')))
  const all = texts.join('').split('\n')
  const rest = all.pop() ?? ''
  return {
    rest,
    whole: all.filter((text) => !text.startsWith(MARKER)),
    markers: all.filter((text) => text.startsWith(MARKER)),
  }
}

function databaseProblems(folder: string): string[] {
  const database = new Database(join(folder, 'library.db'))
  const rows = database.prepare('pragma integrity_check').all() as { integrity_check: string }[]
  const recorded = database.prepare('select count(*) n from run where session is not null').get() as { n: number }
  database.close()
  return [
    ...rows.flatMap(({ integrity_check: said }) => (said === 'ok' ? [] : [said])),
    ...(recorded.n === 1 ? [] : [`the library has ${recorded.n} recordings`]),
  ]
}
