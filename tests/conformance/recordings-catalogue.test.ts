/**
 * The catalogue against excerpts of two real trucks: every number lies in a range that is physically
 * possible, and every group that is not proprietary is defined, but for one.
 */
import { isProprietaryGroup, parseIdentifier, type Signal } from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import { describe, expect, it } from 'vitest'
import { openExcerpt, readExcerpt } from '../support/golden.js'
import { plausibleRange } from '../support/plausible-ranges.js'

/** Sent by truck A once a second; no source found names it. */
const NAMED_BY_NOBODY = 64732

/** Numbers that an excerpt holds at least, so that a decoder that finds none does not pass. */
const EXCERPTS = [
  ['truck-a-engine-off', 80],
  ['truck-a-idling', 60],
  ['truck-a-idling-slow-groups', 60],
  ['truck-b-driving', 40],
  ['truck-b-recorder-hole', 3],
] as const

/** What is wrong with the values of a signal, in words; empty where nothing is. */
function impossible(signal: Signal): string[] {
  const { definition, group, stream } = signal
  if (definition.kind !== 'numeric') return []
  const label = `${group.acronym} ${definition.spn} ${definition.name}, address ${stream.sa}`
  const range = plausibleRange(definition.spn, definition.unit)
  if (range === undefined) return [`${label}: no range for ${definition.unit}`]
  const outside = signal.values().find((value) => value < range[0] || value > range[1])
  return outside === undefined ? [] : [`${label}: ${outside} ${definition.unit}`]
}

describe.each(EXCERPTS)('%s', (name, least) => {
  it('holds no number that cannot be', async () => {
    const recording = await openExcerpt(name)
    const numbers = recording.signals().filter((signal) => signal.definition.kind === 'numeric' && signal.hasValues())
    expect(numbers.length).toBeGreaterThanOrEqual(least)
    expect(numbers.flatMap(impossible)).toEqual([])
  })

  it('holds only groups that are defined, but for one', () => {
    const ids = [...readExcerpt(name).matchAll(/ ([0-9A-F]{8})#/g)].map(([, id = '']) => Number.parseInt(id, 16))
    const groups = ids.map((id) => parseIdentifier(id).pgn).filter((pgn) => !isProprietaryGroup(pgn))
    const unknown = groups.filter((pgn) => findGroup(pgn) === undefined)
    expect(groups.length).toBeGreaterThan(10)
    expect(unknown.filter((pgn) => pgn !== NAMED_BY_NOBODY)).toEqual([])
  })
})
