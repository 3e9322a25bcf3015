/** One raw message → what its bytes say. Loads the catalogue: import it only when a message is opened. */
import { decodeGroup } from '@firstcrank/decoder'
import { confidenceInWords, findGroup } from '@firstcrank/decoder/catalog'

/** A signal of an opened message. */
export interface OpenedSignal {
  readonly at: string
  readonly spn: number
  readonly name: string
  readonly raw: string
  readonly value: number | null
  readonly status: string
  readonly label: string | undefined
  readonly unit: string | null
  readonly resolution: number | null
  readonly instance: number | undefined
  /** How sure position and scale are, in words. */
  readonly confidence: string
}

/** What a message says; undefined where nobody has defined its group. */
export function decodeMessage(
  pgn: number,
  payload: Uint8Array,
): { readonly acronym: string; readonly name: string; readonly signals: readonly OpenedSignal[] } | undefined {
  const group = findGroup(pgn)
  if (group === undefined) return undefined
  const signals = decodeGroup(group, payload).map(
    ({ definition, spn, name, raw, value, status, label, text, instance }) => ({
      at: definition.at,
      spn,
      name,
      raw: raw === null || raw === undefined ? '' : `${raw}`,
      value: typeof value === 'number' ? value : null,
      status,
      label: label ?? text,
      unit: definition.kind === 'numeric' ? definition.unit : null,
      resolution: definition.kind === 'numeric' ? definition.resolution : null,
      instance,
      confidence: confidenceInWords(definition),
    }),
  )
  return { acronym: group.acronym, name: group.name, signals }
}
