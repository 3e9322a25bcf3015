/**
 * Every log in the folders below, against the facts kept beside it. To add one, drop `name.log` (or
 * `name.log.gz`) into a folder and write its facts with the command of the README there; read them
 * before you commit them. What can be checked by other means than ours is in
 * `conformance/recordings.test.ts`.
 */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { gunzipSync } from 'node:zlib'
import { openRecording } from '@firstcrank/decoder'
import { describe, expect, it } from 'vitest'
import { expectAgreement } from '../support/compare.js'
import { factsOf } from './facts.js'

const FOLDER = new URL('./recordings/', import.meta.url)
const FACTS = '.expected.json'
const isUpdate = process.env['FIRSTCRANK_UPDATE_GOLDEN'] === '1'

const files = readdirSync(FOLDER)
const logs = files.filter((name) => /\.log(\.gz)?$/.test(name))
const factsFile = (log: string): URL => new URL(log.replace(/\.log(\.gz)?$/, FACTS), FOLDER)

function textOf(log: string): string {
  const bytes = readFileSync(new URL(log, FOLDER))
  return (log.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('latin1')
}

describe('the folder', () => {
  it('has logs, and facts for no other', () => {
    expect(logs.length).toBeGreaterThanOrEqual(5)
    const described = files.filter((name) => name.endsWith(FACTS)).map((name) => name.replace(FACTS, ''))
    expect(described.filter((name) => !logs.some((log) => log.replace(/\.log(\.gz)?$/, '') === name))).toEqual([])
  })

  it('has no long word in any payload, and no text by which a node or a vehicle names itself', () => {
    for (const log of logs) {
      for (const line of textOf(log).split('\n')) {
        const [id = '', data = ''] = line.split(' ')[2]?.split('#') ?? []
        const text = Buffer.from(data, 'hex').toString('latin1')
        expect(text, line).not.toMatch(/[A-Za-z0-9]{5}/)
        // Component, software, ECU and vehicle identification: sent whole, or announced as a long message.
        expect(id.slice(2, 6), line).not.toMatch(/^(FEEB|FEDA|FDC5|FEEC)$/)
        if (/^..EC/.test(id)) expect(data.slice(10), line).not.toMatch(/^(EBFE|DAFE|C5FD|ECFE)00$/)
      }
    }
  })
})

describe.each(logs)('%s', (log) => {
  const opened = openRecording(readFileSync(new URL(log, FOLDER)), { summary: true })

  it('holds the facts kept beside it', async () => {
    const facts = factsOf(await opened)
    if (isUpdate) writeFileSync(factsFile(log), facts)
    expect(facts).toBe(readFileSync(factsFile(log), 'utf8'))
  })

  it('says the same to the reference decoder', async () => {
    const { frames, values } = expectAgreement(await opened, textOf(log))
    expect(frames).toBeGreaterThan(50)
    expect(values).toBeGreaterThan(frames)
  })
})
