import { fmiDefinition } from '@firstcrank/decoder'
import { faultName } from '@firstcrank/decoder/catalog'
import { describe, expect, test } from 'vitest'
import { BUS_CHECKS } from '../../bus-findings.js'
import { findCaution } from '../../cautions.js'
import { CHECKS } from '../../checks/index.js'
import type { Step } from '../../model.js'
import { HYPOTHESES } from '../hypotheses/index.js'
import { stepsFor } from '../ladder.js'
import { COMPONENTS, FAILURE_MODES, type FaultClass, findComponent, GENERIC_CAUSES, KINDS } from './index.js'

const CLASSES: readonly FaultClass[] = [...new Set(FAILURE_MODES.map((mode) => mode.class))]
const spns = COMPONENTS.flatMap((component) => component.spns)

describe('parts', () => {
  test('at least sixty SPNs are known, none twice', () => {
    expect(spns.length).toBeGreaterThanOrEqual(60)
    expect(new Set(spns).size).toBe(spns.length)
  })

  test('every SPN has a name in the catalogue', () => {
    expect(spns.filter((spn) => faultName(spn) === undefined)).toEqual([])
  })

  // The SPNs a first start lives by: each must have more than the general steps.
  test.each([
    110, 105, 172, 171, 174, 175, 412, 100, 102, 94, 108, 3251, 157, 97, 132, 91, 29, 2623, 558, 168, 158, 190, 636,
    723, 637, 729, 730, 1136, 620, 1079, 1080, 3509, 3510, 3511, 639, 1231, 27, 2791, 411, 641, 2795, 1188, 651, 652,
    653, 654, 1347, 1075, 677, 1485, 3216, 3226, 3242, 3246, 4765, 1761, 5246, 111, 107, 1569,
  ])('SPN %d has steps of its own', (spn) => {
    const { first, about } = findComponent(spn) ?? {}
    expect(about).toMatch(/\.$/)
    expect(Object.values(first ?? {}).flat().length).toBeGreaterThan(0)
  })

  test('SPN 2000 and up is the node at that address', () => {
    expect(findComponent(2003)).toMatchObject({ part: 'node at address 3', kind: 'network' })
    expect(findComponent(2254)).toBeUndefined()
  })

  test('every figure says who gives it', () => {
    const figures = [
      ...COMPONENTS.flatMap(({ figures = [] }) => figures),
      ...Object.values(KINDS).flatMap(({ open, short, figures }) => [open, short, ...figures]),
    ]
    expect(figures.filter(({ source }) => source.trim() === '')).toEqual([])
    const limits = COMPONENTS.flatMap(({ high, low }) => [high, low].filter((limit) => limit !== undefined))
    expect(limits.filter(({ source }) => source.trim() === '')).toEqual([])
  })
})

describe('failure modes', () => {
  test('all thirty-two, each at its own place, as the decoder has them', () => {
    expect(FAILURE_MODES.map(({ fmi }) => fmi)).toEqual(Array.from({ length: 32 }, (_, fmi) => fmi))
    expect(
      FAILURE_MODES.every(
        ({ fmi, proof, contradiction }) => fmiDefinition(fmi) !== undefined && proof !== '' && contradiction !== '',
      ),
    ).toBe(true)
  })

  test('every kind of part has causes for every class', () => {
    for (const [kind, { causes }] of Object.entries(KINDS)) {
      for (const faultClass of CLASSES) {
        expect(causes[faultClass] ?? [], `${kind}, ${faultClass}`).not.toEqual([])
        for (const id of causes[faultClass] ?? []) expect(GENERIC_CAUSES).toHaveProperty(id)
      }
    }
  })
})

/** Every list of steps a person can be shown. */
const lists: readonly (readonly [string, readonly Step[]])[] = [
  ...HYPOTHESES.map(({ id, steps }) => [id, steps] as const),
  ...COMPONENTS.flatMap((component) =>
    CLASSES.map((faultClass) => {
      const ladder = GENERIC_CAUSES[KINDS[component.kind].causes[faultClass]?.[0] ?? 'look-it-up'].ladder
      const fault = { component, class: faultClass } as Parameters<typeof stepsFor>[0]
      return [`${component.part}, ${faultClass}`, stepsFor(fault, ladder)] as const
    }),
  ),
]
const all = lists.flatMap(([, steps]) => steps)

describe('steps', () => {
  test('every list has at least two', () => {
    expect(lists.filter(([, steps]) => steps.length < 2).map(([name]) => name)).toEqual([])
  })

  test('the first one never exchanges a part', () => {
    expect(
      lists
        .filter(([, steps]) =>
          /\b(replace|renew|exchange|new (sensor|part)|change the (?!fuel filter|air filter|oil))/i.test(steps[0].text),
        )
        .map(([name]) => name),
    ).toEqual([])
  })

  test('none pierces insulation or puts an ohm-meter on a controller', () => {
    expect(all.filter(({ text }) => /pierc|back-?probe through|resistance (of|at) the controller/i.test(text))).toEqual(
      [],
    )
  })

  test('low oil pressure: stop comes first, the mechanical gauge before the sensor', () => {
    for (const [name, steps] of lists.filter(
      ([name]) => name === 'oil pressure sensor, low' || name === 'oil-pressure-missing',
    )) {
      expect(steps[0], name).toMatchObject({ key: 'off', cautions: ['no-oil-pressure'] })
      const gauge = steps.findIndex(({ tool }) => tool === 'mechanical gauge')
      const sensor = steps.findIndex(({ text }) => /supply and ground|4\.75/.test(text))
      expect(gauge).toBeGreaterThan(0)
      expect(sensor === -1 || sensor > gauge, name).toBe(true)
    }
  })

  test('every caution exists', () => {
    const named = [...all.flatMap(({ cautions }) => cautions), ...COMPONENTS.flatMap(({ cautions = [] }) => cautions)]
    expect(named.filter((id) => findCaution(id) === undefined)).toEqual([])
  })

  test('the state of the key stands before a step and is not said again in it, nor contradicted', () => {
    const opens = (key: string, words: RegExp) =>
      all.filter((one) => one.key === key && words.test(one.text)).map(({ text }) => text)
    expect(opens('on', /^(engine off|key on|key off)\b|key on, engine off/i)).toEqual([])
    expect(opens('off', /^(engine off|key off|every key off)\b|under load/i)).toEqual([])
    expect(opens('running', /^(put|fit|screw)\b/i)).toEqual([])
    expect(opens('any', /unplug|measure/i)).toEqual([])
  })

  test('with the engine turning, hands are warned of belts, and of the starter', () => {
    const lacks = (key: string, caution: string) =>
      all.filter((one) => one.key === key && !one.cautions.includes(caution)).map(({ text }) => text)
    expect(lacks('running', 'rotating-parts')).toEqual([])
    expect(lacks('cranking', 'before-cranking')).toEqual([])
    expect(lacks('cranking', 'crank-limit')).toEqual([])
  })

  test('nothing that spins, burns or sprays goes without its caution', () => {
    const without = (pattern: RegExp, caution: string) =>
      all
        .filter(({ text, cautions }) => pattern.test(text) && !cautions.includes(caution as never))
        .map(({ text }) => text)
    expect(without(/\bcranks\b|crank without fuel/i, 'crank-limit')).toEqual([])
    expect(without(/high-pressure side|Never loosen a high-pressure line/, 'fuel-pressure')).toEqual([])
    expect(without(/grid stud/, 'intake-heater')).toEqual([])
    expect(without(/battery (posts?|side)\b|starter stud|isolate the battery|battery isolated/i, 'battery')).toEqual([])
    expect(without(/suction line|test port|fuel filter|filter bowl/i, 'fuel-pressure')).toEqual([])
    expect(without(/\bbelt\b/i, 'rotating-parts')).toEqual([])
    expect(without(/radiator hose|thermostat housing|turbocharger to|exhaust pipe/i, 'hot-parts')).toEqual([])
  })
})

describe('causes', () => {
  test('names are unique, also among the general ones', () => {
    const ids = [...HYPOTHESES.map(({ id }) => id), ...Object.keys(GENERIC_CAUSES)]
    expect(new Set(ids).size).toBe(ids.length)
  })

  test('each can be shown by something decisive', () => {
    const without = HYPOTHESES.filter(({ clues }) => !clues.some(({ decisive }) => decisive)).map(({ id }) => id)
    // These never get beyond possible: the bus cannot prove them.
    expect(without).toEqual(['receiver-side', 'boost-weak'])
  })

  test('one that nobody reports has a clue that can rule it out', () => {
    for (const { id, unreported, clues } of HYPOTHESES) {
      if (unreported)
        expect(
          clues.some(({ decisive }) => decisive),
          id,
        ).toBe(true)
    }
  })

  test('a derate is no root of anything', () => {
    const roots = HYPOTHESES.flatMap(({ roots }) => roots).flatMap(({ spns: listed = [] }) => listed)
    expect(roots.filter((spn) => [1569, 1109, 1110, 5246].includes(spn))).toEqual([])
  })

  test('the checks they name exist', () => {
    const known = new Set([...CHECKS.map(({ id }) => id), ...BUS_CHECKS.map(({ id }) => id)])
    expect(HYPOTHESES.flatMap(({ checks }) => checks).filter((id) => !known.has(id))).toEqual([])
  })
})
