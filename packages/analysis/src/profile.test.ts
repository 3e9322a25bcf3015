import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { LIMIT_IDS, LIMITS, limitsFor } from './limits.js'
import { NO_PROFILE, ProfileError, parseProfile, profileJsonSchema } from './profile.js'
import { profileTemplate } from './profile-template.js'

const profile = (more: object) => JSON.stringify({ version: 1, title: 'Rescue truck', ...more })

function problemsOf(text: string): readonly string[] {
  try {
    parseProfile(text)
  } catch (error) {
    if (error instanceof ProfileError) return [error.code, ...error.problems]
    throw error
  }
  return []
}

describe('a profile', () => {
  test('may carry comments and commas at the end, but not inside text', () => {
    const parsed = parseProfile(`{
      // the truck
      "version": 1, // form
      "title": "Truck // with, ] slashes",
      "nodes": [{ "sa": 0, "name": "Engine" },],
    }`)
    expect(parsed.title).toBe('Truck // with, ] slashes')
    expect(parsed.nodes).toEqual([{ sa: 0, name: 'Engine' }])
    expect(parsed.engine).toEqual({})
  })

  const table = { speeds: [1000, 2000], loads: [50, 100], boost: [[8, 45], [20]], source: 'manual' }
  test.each([
    ['not JSON', '{"version": 1,,', ['not-json', /^not JSON: /]],
    ['no title', '{"version": 1}', ['invalid', /^title: is missing$/]],
    [
      'a size out of bounds',
      profile({ engine: { displacement: 3000 } }),
      ['invalid', /^engine\.displacement: must be at most \d+$/],
    ],
    [
      'a supply there is not',
      profile({ electrical: { volts: 36 } }),
      ['invalid', /^electrical\.volts: must be 12 or 24$/],
    ],
    ['a misspelt field', profile({ engine: { displacment: 3 } }), ['invalid', /^engine\.displacment: no such field$/]],
    ['a misspelt section', profile({ enigne: {} }), ['invalid', /^enigne: no such field$/]],
    ['an unknown limit', profile({ limits: { 'rest-volt': 12 } }), ['invalid', /^limits\.rest-volt: no limit/]],
    [
      'a limit that is no number',
      profile({ limits: { 'rest-voltage.pass-from': '12' } }),
      ['invalid', /^limits\.rest-voltage\.pass-from: must be a number/],
    ],
    [
      'a node twice',
      profile({
        nodes: [
          { sa: 3, name: 'A' },
          { sa: 3, name: 'B' },
        ],
      }),
      ['invalid', /^nodes\[1\]\.sa: 3 is there twice/],
    ],
    ['one bore of two', profile({ air: { tubeBore: 76 } }), ['invalid', /^air: /]],
    ['a row too short', profile({ boostMap: table }), ['invalid', /^boostMap\.boost\[1\]: has 1 figures for 2 speeds/]],
    [
      'speeds that fall',
      profile({ boostMap: { ...table, speeds: [2000, 1000] } }),
      ['invalid', /^boostMap\.speeds: must rise/],
    ],
  ] as const)('%s is refused by the name of the field', (_, text, [code, problem]) => {
    const [found, ...problems] = problemsOf(text)
    expect(found).toBe(code)
    expect(problems[0]).toMatch(problem)
  })

  test('the template is valid as it is, and with every line filled in', () => {
    expect(parseProfile(profileTemplate())).toMatchObject({ title: 'My engine', limits: {}, engine: {} })
    const filled = profileTemplate().replace(/^( *)\/\/ (?=["{])/gm, '$1')
    const parsed = parseProfile(filled)
    expect(Object.keys(parsed.limits)).toEqual(LIMIT_IDS)
    expect(parsed).toMatchObject({ engine: { displacement: 3, cylinders: 4 }, boostMap: { speeds: [1000, 2000] } })
    // Filled in as it stands it changes nothing but the owner.
    for (const id of LIMIT_IDS) expect(parsed.limits[id]).toBe(LIMITS[id].value)
  })

  test('the published schema is up to date', () => {
    const published = readFileSync(new URL('../profile.schema.json', import.meta.url), 'utf8')
    expect(JSON.parse(published)).toEqual(profileJsonSchema())
  })
})

describe('limits', () => {
  test('each has a unit, a source and a name that begins with its check', () => {
    for (const id of LIMIT_IDS) {
      expect(id).toMatch(/^[a-z-]+\.[a-z0-9-]+$/)
      expect(LIMITS[id].source.length).toBeGreaterThan(5)
      expect(Number.isFinite(LIMITS[id].value)).toBe(true)
    }
  })

  test('a profile takes the place of a default, with its source and its name', () => {
    const own = parseProfile(
      profile({
        source: 'Manual 3, page 12',
        limits: { 'rest-voltage.pass-from': 12.6, 'crank-time.pass-to': { value: 4, source: 'Bulletin 7' } },
      }),
    )
    const limits = limitsFor(own)
    expect(limits['rest-voltage.pass-from']).toEqual({
      id: 'rest-voltage.pass-from',
      value: 12.6,
      unit: 'V',
      source: 'Manual 3, page 12',
      owner: { profile: 'Rescue truck' },
    })
    expect(limits['crank-time.pass-to']).toMatchObject({ value: 4, unit: 's', source: 'Bulletin 7' })
    expect(limits['crank-time.caution-to']).toMatchObject({ value: 15, owner: 'default' })
  })

  test('default voltages count twice in a 24-volt system; a profile’s and other units do not', () => {
    const own = parseProfile(profile({ limits: { 'charging-voltage.pass-to': 28.8 } }))
    const limits = limitsFor(own, 24)
    expect(limits['rest-voltage.pass-from'].value).toBe(25)
    expect(limits['charging-voltage.pass-to'].value).toBe(28.8)
    expect(limits['crank-speed.pass-from'].value).toBe(150)
    expect(limitsFor(NO_PROFILE)['rest-voltage.pass-from'].value).toBe(12.5)
  })
})
