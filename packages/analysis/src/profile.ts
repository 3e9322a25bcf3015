/**
 * What a recording cannot say about an engine: its size, what is fitted, where it stands, and its
 * maker's own figures. A JSON file, in which lines may carry `//` comments, and a list's last entry a
 * comma. The schema is the one
 * source of validation, of the types and of the published JSON Schema (`profile.schema.json`).
 */
import { fieldWords } from '@firstcrank/definitions'
import { z } from 'zod'
import { LIMIT_IDS, LIMITS, type LimitId, type OwnLimit } from './limits.js'

/** Version of the file's form. */
export const PROFILE_VERSION = 1

const text = (most: number) => z.string().trim().min(1).max(most)
const between = (low: number, high: number) => z.number().min(low).max(high)

const ownLimit = z.union(
  [z.number(), z.strictObject({ value: z.number(), source: text(300).describe('Manual, edition and page') })],
  'must be a number, or a value with its source',
)

const engine = z.strictObject({
  displacement: between(0.2, 100).optional().describe('Litres, all cylinders together'),
  cylinders: z.int().min(1).max(24).optional(),
  idleSpeed: between(200, 2000).optional().describe('rpm, warm'),
  volumetricEfficiency: between(0.4, 1.3)
    .optional()
    .describe('How well the cylinders fill, from intake manifold to cylinder; 0.90 where not given'),
  ratedSpeed: between(500, 8000).optional().describe('rpm at which it gives its rated power'),
})

const fitted = z.strictObject({
  pedal: z.boolean().optional().describe('An accelerator pedal wired to the engine controller'),
  egr: z.boolean().optional().describe('Exhaust gas recirculation'),
  turbocharger: z.boolean().optional(),
  airMassSensor: z.boolean().optional(),
  intakeHeater: z.boolean().optional().describe('A grid heater in the intake, by which the engine preheats'),
  oilPressureSwitch: z.boolean().optional().describe('A switch where others have an oil pressure sensor'),
  alternator: z.boolean().optional(),
})

const boostMap = z
  .strictObject({
    speeds: z.array(between(200, 8000)).min(2).max(60).describe('rpm, rising'),
    loads: z.array(between(0, 125)).min(1).max(30).describe('Percent load, rising'),
    boost: z
      .array(z.array(between(-100, 600)))
      .describe('kPa above ambient: one row for each load, one figure for each speed'),
    source: text(300).describe('Manual, edition and page'),
  })
  .describe("The maker's boost, by speed and load")

const pressureMap = z
  .strictObject({
    speeds: z.array(between(200, 8000)).min(2).max(60).describe('rpm, rising'),
    temperatures: z.array(between(-40, 150)).min(1).max(30).describe('Oil, °C, rising'),
    pressure: z
      .array(z.array(between(0, 2000)))
      .describe('kPa above ambient: one row for each temperature, one figure for each speed'),
    source: text(300).describe('Manual, edition and page'),
  })
  .describe("The maker's oil pressure, by speed and oil temperature")

const schema = z.strictObject({
  $schema: z.string().optional(),
  version: z.literal(PROFILE_VERSION),
  title: text(120).describe('What this profile is for; reports name it as the owner of its limits'),
  source: text(300).optional().describe('Manual, edition: where the figures come from'),
  units: z.enum(['metric', 'us']).optional().describe('How reports show values; metric where not given'),
  engine: engine.default({}),
  fitted: fitted.default({}),
  site: z
    .strictObject({
      altitude: between(-450, 6000).optional().describe('m above sea level'),
      stationPressure: between(40, 115).optional().describe('kPa absolute as measured there, not reduced to sea level'),
    })
    .default({}),
  electrical: z
    .strictObject({ volts: z.union([z.literal(12), z.literal(24)], 'must be 12 or 24').optional() })
    .default({}),
  air: z
    .strictObject({
      tubeBore: between(10, 500).optional().describe('mm inside, of the tube the air-mass sensor sits in'),
      calibratedBore: between(10, 500).optional().describe('mm inside, of the tube the calibration is for'),
    })
    .default({}),
  fuel: z
    .strictObject({
      tank: between(1, 10_000).optional().describe('Litres the tank holds'),
      linesEmptied: z.boolean().optional().describe('Lines or filter were empty before this start'),
    })
    .default({}),
  oil: z
    .strictObject({
      remoteFilter: z.boolean().optional().describe('The oil filter hangs on hoses'),
      filterEmpty: z.boolean().optional().describe('The filter was empty before this start'),
      pressureMap: pressureMap.optional(),
    })
    .default({}),
  run: z
    .strictObject({
      firstStart: z.boolean().optional().describe('The first start after the engine was fitted'),
      restedHours: between(0, 100_000).optional().describe('Hours the engine stood before the recording began'),
      blockHeater: z.boolean().optional().describe('A block heater was on, or the sun shone on one side'),
    })
    .default({}),
  nodes: z
    .array(z.strictObject({ sa: z.int().min(0).max(253).describe('Source address'), name: text(80) }))
    .max(254)
    .default([])
    .describe('Who must be on the bus'),
  boostMap: boostMap.optional(),
  limits: z
    .record(z.string(), ownLimit)
    .default({})
    .describe("The maker's figures in the places of ours, by the limit's name"),
})

type Parsed = z.infer<typeof schema>

/** An engine profile. */
export type Profile = Omit<Parsed, 'limits'> & {
  readonly limits: Readonly<Partial<Record<LimitId, OwnLimit>>>
}

/** What holds where nobody gave a profile. */
export const NO_PROFILE: Profile = {
  version: PROFILE_VERSION,
  title: 'no profile',
  engine: {},
  fitted: {},
  site: {},
  electrical: {},
  air: {},
  fuel: {},
  oil: {},
  run: {},
  nodes: [],
  limits: {},
}

/** What is wrong with a profile. `not-json`: not JSON at all; `invalid`: see `problems`. */
export type ProfileErrorCode = 'not-json' | 'invalid'

/** A profile that cannot be used. */
export class ProfileError extends Error {
  readonly code: ProfileErrorCode
  /** One line for each thing that is wrong, each starting with the field's place: `engine.displacement: …`. */
  readonly problems: readonly string[]

  constructor(code: ProfileErrorCode, problems: readonly string[]) {
    super(problems.join('\n'))
    this.name = 'ProfileError'
    this.code = code
    this.problems = problems
  }
}

/**
 * Reads a profile: JSON, in which `//` begins a comment to the end of the line and a comma may stand
 * behind the last entry.
 *
 * @throws {ProfileError} `not-json` or `invalid`
 */
export function parseProfile(content: string): Profile {
  let json: unknown
  try {
    json = JSON.parse(withoutComments(content))
  } catch (error) {
    throw new ProfileError('not-json', [`not JSON: ${(error as Error).message}`])
  }
  const result = schema.safeParse(json, { error: fieldWords })
  if (!result.success) throw new ProfileError('invalid', result.error.issues.flatMap(wordsOf))
  const problems = contradictions(result.data)
  if (problems.length > 0) throw new ProfileError('invalid', problems)
  return result.data as Profile
}

/** The published JSON Schema of the file. */
export function profileJsonSchema(): object {
  const { properties, ...rest } = z.toJSONSchema(schema, { io: 'input' }) as { properties: Record<string, object> }
  const limits = {
    ...properties['limits'],
    properties: Object.fromEntries(
      LIMIT_IDS.map((id) => [
        id,
        { description: `${LIMITS[id].what}, in ${LIMITS[id].unit}; ours: ${LIMITS[id].value}` },
      ]),
    ),
    propertyNames: { enum: LIMIT_IDS },
  }
  return {
    $id: 'firstcrank/profile.schema.json',
    title: 'firstcrank engine profile',
    ...rest,
    properties: { ...properties, limits },
  }
}

/**
 * Comments, and commas before a closing bracket, become blanks, so that places in messages stay right.
 * What is inside quotes stays.
 */
function withoutComments(content: string): string {
  const blank = (found: string): string => (found.startsWith('"') ? found : ' '.repeat(found.length))
  return content.replace(/"(?:[^"\\\n]|\\.)*"|\/\/[^\n]*/g, blank).replace(/"(?:[^"\\\n]|\\.)*"|,(?=\s*[}\]])/g, blank)
}

function wordsOf(issue: z.core.$ZodIssue): string[] {
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => `${placeOf([...issue.path, key])}: no such field`)
  }
  return [`${placeOf(issue.path)}: ${issue.message}`]
}

function placeOf(path: readonly PropertyKey[]): string {
  const place = path.map((part) => (typeof part === 'number' ? `[${part}]` : `.${String(part)}`)).join('')
  return place.replace(/^\./, '') || 'profile'
}

/** What a schema cannot say. */
function contradictions({ limits, boostMap, nodes, air, oil }: Parsed): string[] {
  const problems = Object.keys(limits)
    .filter((id) => !Object.hasOwn(LIMITS, id))
    .map((id) => `limits.${id}: no limit has this name`)
  const seen = new Set<number>()
  nodes.forEach(({ sa }, index) => {
    if (seen.has(sa)) problems.push(`nodes[${index}].sa: ${sa} is there twice`)
    seen.add(sa)
  })
  if ((air.tubeBore === undefined) !== (air.calibratedBore === undefined)) {
    problems.push('air: tubeBore and calibratedBore are of use only together')
  }
  if (boostMap !== undefined) {
    const { speeds, loads, boost } = boostMap
    problems.push(...unevenTable('boostMap', { speeds, loads }, { boost }))
  }
  if (oil.pressureMap !== undefined) {
    const { speeds, temperatures, pressure } = oil.pressureMap
    problems.push(...unevenTable('oil.pressureMap', { speeds, temperatures }, { pressure }))
  }
  return problems
}

/** What is wrong with a table: its axes, the first of them across, and its figures. */
function unevenTable(
  place: string,
  axes: Readonly<Record<string, readonly number[]>>,
  figures: Readonly<Record<string, readonly (readonly number[])[]>>,
): string[] {
  const [across = ['', []], down = ['', []]] = Object.entries(axes)
  const [[name, rows] = ['', []]] = Object.entries(figures)
  const problems = [across, down]
    .filter(([, values]) => !isRising(values))
    .map(([axis]) => `${place}.${axis}: must rise`)
  if (rows.length !== down[1].length) {
    problems.push(`${place}.${name}: has ${rows.length} rows for ${down[1].length} ${down[0]}`)
  }
  rows.forEach((row, index) => {
    if (row.length === across[1].length) return
    problems.push(`${place}.${name}[${index}]: has ${row.length} figures for ${across[1].length} ${across[0]}`)
  })
  return problems
}

function isRising(values: readonly number[]): boolean {
  return values.every((value, index) => index === 0 || value > (values[index - 1] as number))
}
