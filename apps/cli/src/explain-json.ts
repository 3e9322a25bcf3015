/** The machine-readable forms of `explain`. Fields are documented in `docs/formats.md`. */
import {
  type Catalogue,
  decodeDiagnostic,
  decodeGroup,
  type GroupDefinition,
  parseIdentifier,
  type SignalDefinition,
} from '@firstcrank/decoder'
import { confidenceOf, faultNameConfirmed, faultNameSources, SOURCES, signalsOf } from '@firstcrank/decoder/catalog'
import { placesOf } from './explain-definition.js'
import { messageOf } from './explain-frame.js'
import type { FrameInput } from './frame-input.js'
import type { Json } from './json.js'
import { spnName } from './names.js'
import { bytesText, plain } from './plain.js'
import { hex } from './text.js'

/** Version of the outputs of `explain --format json`. */
const VERSION = 1

type Fields = { readonly [key: string]: Json }

const head = (kind: 'frame' | 'spn' | 'pgn'): Fields => ({ schema: 'firstcrank.explain', version: VERSION, kind })

/** One frame. */
export function frameJson(frame: FrameInput, catalogue: Catalogue): Json {
  const identifier = parseIdentifier(frame.id)
  const group = catalogue.find(identifier.pgn)
  const values = group === undefined ? [] : decodeGroup(group, frame.data)
  return {
    ...head('frame'),
    identifier: { id: hex(frame.id, 8), ...identifier },
    group: group === undefined ? null : groupFields(group),
    data: bytesText(frame.data),
    signals: values.map(({ definition, spn: _, name: __, ...value }) => ({ ...signalFields(definition), ...value })),
    diagnostic: plain(decodeDiagnostic(messageOf(frame)) ?? null),
  }
}

/** What is known of some SPNs. */
export function spnsJson(spns: readonly number[], catalogue: Catalogue): Json {
  const spnFields = (spn: number): Fields => {
    const places = placesOf(spn, catalogue)
    const name = places[0]?.signal.name ?? spnName(spn) ?? null
    return {
      spn,
      name,
      places: places.map(({ group, signal }) => ({ group: groupFields(group), ...signalFields(signal) })),
      faultName:
        spnName(spn) === undefined
          ? null
          : { sources: titles(faultNameSources(spn)), confirmed: faultNameConfirmed(spn) },
    }
  }
  return { ...head('spn'), spns: spns.map(spnFields) }
}

/** What is known of some parameter groups. */
export function pgnsJson(pgns: readonly number[], catalogue: Catalogue): Json {
  const pgnFields = (pgn: number): Fields => {
    const group = catalogue.find(pgn)
    return {
      pgn,
      group: group === undefined ? null : { ...groupFields(group), signals: signalsOf(group).map(signalFields) },
    }
  }
  return { ...head('pgn'), pgns: pgns.map(pgnFields) }
}

function groupFields({ pgn, acronym, name, length, priority, period, sources, note }: GroupDefinition): Fields {
  return {
    pgn,
    acronym,
    name,
    length,
    priority: priority ?? null,
    period: period ?? null,
    sources: titles(sources),
    confidence: confidenceOf({ sources }),
    note: note ?? null,
  }
}

/** A definition as it is, its sources by their titles. */
function signalFields({ sources, note, ...definition }: SignalDefinition): Fields {
  return {
    ...(definition as Fields),
    sources: titles(sources),
    confidence: confidenceOf({ sources, confirmed: definition.confirmed }),
    note: note ?? null,
  }
}

function titles(sources: readonly (keyof typeof SOURCES)[]): Json {
  return sources.map((id) => SOURCES[id])
}
