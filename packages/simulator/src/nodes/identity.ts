/** Names, addresses and texts of the invented truck's nodes. None belongs to a real maker. */
import type { NameFields } from '@firstcrank/decoder'

/** Not assigned to anybody: the invented makers' code. */
const NO_MAKER = 0
/** Industry groups: all of them, and on-highway equipment. Source: SAE J1939-81 as the decoder has it. */
const GLOBAL = 0
const ON_HIGHWAY = 1
/** Functions from here on mean something else in every industry group. Source: as above. */
const FIRST_GROUP_FUNCTION = 128

/** Functions in a NAME. That of the brakes is from memory; the others are in published sources the decoder names. */
export const FUNCTION = { engine: 0, transmission: 3, brakes: 9, display: 60, io: 66, tool: 129 } as const

/** Preferred addresses of SAE J1939. */
export const ADDRESS = { engine: 0, transmission: 3, brakes: 11, body: 33, gauge: 40, tool: 249 } as const

/** A NAME of the truck. The one function here that depends on the industry group, the tool's, is of the global one. */
export function nodeName(fn: number, identityNumber: number): NameFields {
  return {
    identityNumber,
    manufacturerCode: NO_MAKER,
    ecuInstance: 0,
    functionInstance: 0,
    function: fn,
    reserved: 0,
    vehicleSystem: 0,
    vehicleSystemInstance: 0,
    industryGroup: fn < FIRST_GROUP_FUNCTION ? ON_HIGHWAY : GLOBAL,
    arbitraryAddressCapable: false,
  }
}

/** Latin text as bytes, each field closed by `*`. */
export function fields(...texts: readonly string[]): Uint8Array {
  return Uint8Array.from([...texts.map((text) => `${text}*`).join('')], (letter) => letter.charCodeAt(0))
}

type TextName = 'engine' | 'engineController' | 'engineSoftware' | 'vehicle' | 'transmission' | 'gauge'

/** Texts the nodes answer with. */
export const TEXT: Readonly<Record<TextName, Uint8Array>> = {
  engine: fields('INVENT', 'R30-4CR', 'R30-000417', 'BERGRETTUNG 7'),
  engineController: fields('EC7-100-22', 'S0417', 'ENGINE', 'EC7', 'INVENT'),
  engineSoftware: Uint8Array.of(2, ...fields('R30-CAL-0215', 'EC7-BASE-4.2')),
  vehicle: fields('00RESCUETRUCK0007'),
  transmission: fields('INVENT', 'A6-420', 'A6-001133'),
  gauge: fields('INVENT', 'G5 DISPLAY', 'G5-0088'),
}
