/**
 * The simulator's stories, told again by the analysis: the root of each is the first cause, and what
 * is healthy gives none. Five seeds each of the short ones, one of the long ones; a wide evaluation
 * with other seeds is a script of its own.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { openRecording } from '@firstcrank/decoder'
import { SCENARIOS, writeLog } from '@firstcrank/simulator'
import { describe, expect, test } from 'vitest'
import { findEngines } from '../../packages/analysis/src/engine-view.js'
import { analyseFaults } from '../../packages/analysis/src/faults/index.js'
import type { FaultGroup } from '../../packages/analysis/src/model.js'
import { findPhases } from '../../packages/analysis/src/phases.js'
import { NO_PROFILE } from '../../packages/analysis/src/profile.js'
import { utf8 } from '../support/log.js'
import { THREE_LITRES } from '../support/made-faults.js'

/** The cause that tells each true root. */
const RIGHT: Readonly<Record<string, string>> = {
  'air-mass-unplugged': 'circuit-low',
  'air-mass-tube': 'air-mass-tube',
  'intake-temperature-open': 'circuit-open',
  'connectors-swapped': 'sensors-swapped',
  'boost-leak': 'boost-leak',
  'intake-pressure-drift': 'boost-sensor-offset',
  'egr-stuck': 'egr-stuck',
  'thermostat-open': 'thermostat-open',
  'radiator-blocked': 'overheating',
  'supply-1-short': 'sensor-supply-short',
  terminator: 'bus-wiring',
  'pedal-track': 'pedal-track',
  'alternator-dead': 'not-charging',
  'crank-sensor': 'crank-sensor',
  'ignition-feed': 'key-feed-lost',
  'address-conflict': 'address-conflict',
  'oil-filter-dry': 'oil-filter-dry',
  'oil-way-blocked': 'oil-pressure-missing',
  'oil-switch': 'oil-pressure-switch',
  'heater-open': 'heater-open',
  'heater-stuck-on': 'heater-stuck-on',
  'poor-ground': 'voltage-drop-in-crank',
  'battery-low': 'battery-weak',
  'fuel-air': 'fuel-air',
  'fuel-water': 'fuel-water',
  'weak-cylinder': 'cylinder-weak',
}

/** Stories of more than ten minutes, made once only. */
const LONG = new Set([
  'healthy-drive',
  'wrong-air-mass-tube',
  'swapped-sensor-connectors',
  'boost-hose-off',
  'thermostat-stuck-open',
  'radiator-blocked',
  'pedal-wiper-before',
  'pedal-wiper-after',
])

async function groupsOf(name: string, seed: number, profile = THREE_LITRES): Promise<readonly FaultGroup[]> {
  const { text } = writeLog(name, { seed })
  const recording = await openRecording(utf8(text), { summary: true })
  const [engine] = findEngines(recording)
  if (engine === undefined) throw new Error('no engine')
  return analyseFaults(recording, engine, findPhases(engine, profile), [], profile)
}

/** Root faults beside which nothing is said although facts speak for the first cause of their group. */
const silentRoots = (groups: readonly FaultGroup[]): string[] =>
  groups.flatMap(({ faults, causes: [cause] }) =>
    faults
      .filter(({ follows, supports }) => follows === null && supports.length === 0 && cause.supports.length > 0)
      .map(({ spn, fmi }) => `${spn}/${fmi} of ${cause.id}`),
  )

const SAMPLES = new URL('../../sample-logs/', import.meta.url)

const broken = SCENARIOS.filter(({ cause }) => cause !== 'none')
const healthy = SCENARIOS.filter(({ cause }) => cause === 'none')
const seedsOf = (name: string): readonly number[] => (LONG.has(name) ? [1] : [1, 2, 3, 4, 5])
const runs = (of: typeof SCENARIOS) =>
  of.flatMap(({ name, cause }) => seedsOf(name).map((seed) => ({ name, cause, seed })))

test('every story’s root is in the table', () => {
  expect(broken.filter(({ cause }) => !(cause in RIGHT)).map(({ name }) => name)).toEqual([])
})

describe.each(runs(broken))('$name, seed $seed', ({ name, cause, seed }) => {
  test('the true root is the first cause, and no other is called probable', async () => {
    const groups = await groupsOf(name, seed)
    expect(groups[0]?.causes[0].id).toBe(RIGHT[cause])
    expect(groups[0].causes[0].confidence).toBe('probable')
    const probable = groups.flatMap(({ causes }) => causes).filter(({ confidence }) => confidence === 'probable')
    expect(probable.map(({ id }) => id)).toEqual([RIGHT[cause]])
    for (const { text } of groups.flatMap(({ causes }) => causes).flatMap(({ supports }) => supports)) {
      expect(text).toMatch(/\.$/)
    }
    expect(silentRoots(groups)).toEqual([])
  })
})

describe('a root whose cause has facts says something for itself', () => {
  test.each(readdirSync(SAMPLES).filter((name) => /\.log(\.gz)?$/.test(name)))('%s', async (name) => {
    const recording = await openRecording(readFileSync(new URL(name, SAMPLES)), { summary: true })
    const [engine] = findEngines(recording)
    expect(engine).toBeDefined()
    if (engine === undefined) return
    expect(silentRoots(analyseFaults(recording, engine, findPhases(engine, THREE_LITRES)))).toEqual([])
  })
})

describe.each(runs(healthy))('$name, seed $seed', ({ name, seed }) => {
  test('gives no group', async () => {
    expect(await groupsOf(name, seed)).toEqual([])
  })
})

test('without a profile the air-mass tube is no more than possible: its level cannot be known', async () => {
  const [group] = await groupsOf('wrong-air-mass-tube', 1, NO_PROFILE)
  expect(group.causes.map(({ confidence }) => confidence)).not.toContain('probable')
  expect(group.faults).toMatchObject([{ spn: 132, fmi: 2 }])
})
