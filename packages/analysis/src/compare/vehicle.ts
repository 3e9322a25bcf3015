/** Whether two runs are of one vehicle: what its nodes say of themselves, compared. */
import type { NodeSummary, Recording } from '@firstcrank/decoder'
import type { CompareOptions, IdentityComparison, VehicleComparison } from './comparison.js'

/** DM19, calibration information. */
const CALIBRATIONS_PGN = 54016
/** Addresses of service tools, which come and go. Source: the decoder's list of addresses. */
const TOOLS: ReadonlySet<number> = new Set([249, 250])

type Kind = IdentityComparison['kind']

interface Identity {
  readonly kind: Kind
  readonly channel: string
  readonly sa: number
  readonly text: string
  /** Tells one vehicle from the next of its kind: a component with a serial number, a NAME with an identity number. */
  readonly isUnique: boolean
}

/** Compares what nodes say of themselves. */
export function compareVehicles(
  before: Recording,
  after: Recording,
  { sameVehicle = false }: CompareOptions = {},
): VehicleComparison {
  const a = identitiesOf(before)
  const b = identitiesOf(after)
  const keys = new Map([...a, ...b].map((identity) => [keyOf(identity), identity]))
  const identities = [...keys.values()]
    .map(({ kind, channel, sa }): IdentityComparison => {
      const find = (list: readonly Identity[]): string | null =>
        list.find((other) => keyOf(other) === keyOf({ kind, sa }))?.text ?? null
      const [one, two] = [find(a), find(b)]
      return { kind, channel, sa, before: one, after: two, same: one === null || two === null ? null : one === two }
    })
    .sort((one, two) => one.sa - two.sa || one.kind.localeCompare(two.kind, 'en'))
  const unique = new Set(a.filter(({ isUnique }) => isUnique).map(keyOf))
  const { same, text } = judge(identities, unique, sameVehicle)
  return { same, text, identities }
}

function judge(
  identities: readonly IdentityComparison[],
  unique: ReadonlySet<string>,
  sameVehicle: boolean,
): Pick<VehicleComparison, 'same' | 'text'> {
  const of = (kind: Kind, same: boolean): IdentityComparison[] =>
    identities.filter(
      (identity) => identity.kind === kind && identity.same === same && (!same || unique.has(keyOf(identity))),
    )
  const [otherVehicle] = of('vehicle', false)
  if (otherVehicle !== undefined) {
    return {
      same: 'different',
      text: `The vehicle identification differs: ${otherVehicle.before} before, ${otherVehicle.after} after. Nothing is proved by comparing two vehicles.`,
    }
  }
  const [vehicle] = of('vehicle', true)
  if (vehicle !== undefined) {
    return { same: 'same', text: `Both runs carry the vehicle identification ${vehicle.before}.` }
  }
  const components = of('component', true)
  const otherComponents = of('component', false)
  const names = of('name', true)
  const otherNames = of('name', false)
  if (components.length > 0 && otherComponents.length === 0) {
    return {
      same: 'same',
      text: `No vehicle identification was on the bus in both runs; ${count(components.length, 'component')} with the same serial number ${components.length === 1 ? 'was' : 'were'}.`,
    }
  }
  if (names.length >= 2 && otherNames.length === 0 && otherComponents.length === 0) {
    return {
      same: 'same',
      text: `No vehicle identification was on the bus in both runs; ${count(names.length, 'node')} claimed the same NAME, and none another.`,
    }
  }
  const known = names.length + components.length
  const differ = otherNames.length + otherComponents.length
  // What is not unique does not prove one vehicle; but one node may have been replaced beside it.
  const isShared = identities.some(({ kind, same }) => same === true && (kind === 'name' || kind === 'component'))
  if (differ > 0 && !isShared) {
    return {
      same: 'different',
      text: `No vehicle identification was on the bus in both runs, and all ${count(differ, 'identity', 'identities')} that can be compared differ: probably two vehicles.`,
    }
  }
  const why = `Whether both runs are of one vehicle cannot be known from the bus: no vehicle identification in both, ${count(known, 'identity', 'identities')} the same, ${differ} different.`
  return sameVehicle ? { same: 'vouched', text: `${why} Somebody vouches for it.` } : { same: 'unknown', text: why }
}

function count(n: number, one: string, many = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`
}

/** One key for each node and kind; interfaces may have other names in the other run. */
function keyOf({ kind, sa }: Pick<Identity, 'kind' | 'sa'>): string {
  return `${sa}/${kind}`
}

function identitiesOf(recording: Recording): Identity[] {
  const nodes = (recording.summary()?.nodes ?? []).filter(({ sa }) => !TOOLS.has(sa) && sa < 254)
  return nodes.flatMap((node) => {
    const channel = recording.channels[node.channel] ?? String(node.channel)
    const own = textsOf(node).map(([kind, text]): Identity => {
      return { kind, channel, sa: node.sa, text, isUnique: isUnique(node, kind) }
    })
    const calibration = calibrationsOf(recording, channel, node.sa)
    return calibration === null
      ? own
      : [...own, { kind: 'calibration', channel, sa: node.sa, text: calibration, isUnique: false }]
  })
}

/** Serial number of a component. */
const SERIAL_SPN = 588

/** Two vehicles of one make have the same components but for their serial numbers; many makers leave a NAME's identity at 0. */
function isUnique({ name, identifications }: NodeSummary, kind: Kind): boolean {
  if (kind === 'vehicle') return true
  if (kind === 'name') return name !== null && name.identityNumber !== 0
  const last = identifications.findLast((said) => said.kind === kind)
  return last?.fields.some(({ spn, text }) => spn === SERIAL_SPN && text !== '') === true
}

function textsOf({ name, identifications }: NodeSummary): [Kind, string][] {
  const found: [Kind, string][] = identifications.flatMap(({ kind, fields }): [Kind, string][] => {
    const texts = fields.filter(({ status, text }) => status === 'valid' && text !== '').map(({ text }) => text)
    return texts.length === 0 ? [] : [[kind, texts.join(' ')]]
  })
  // The last text of a kind stands: a node that was programmed in the run ends with its new one.
  const last = new Map<Kind, string>(found)
  if (name !== null) last.set('name', name.value.toString(16).padStart(16, '0').toUpperCase())
  return [...last]
}

/** Identifications and verification numbers of a node's calibrations; null where it never says. */
function calibrationsOf(recording: Recording, channel: string, sa: number): string | null {
  let text: string | null = null
  for (const message of recording.messages({ pgn: CALIBRATIONS_PGN, channel, sa })) {
    const said = message.diagnostic()
    if (said?.kind !== 'calibrations') continue
    const parts = said.calibrations.map(
      ({ id, verificationNumber }) =>
        `${id ?? 'no name'}${verificationNumber === null ? '' : ` ${verificationNumber.toString(16).toUpperCase()}`}`,
    )
    if (parts.length > 0) text = parts.join(', ')
  }
  return text
}
