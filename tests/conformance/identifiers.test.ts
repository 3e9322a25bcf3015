/** Published 29-bit identifiers, each with its source, against the decoder. */
import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import {
  FIRST_PDU2_FORMAT,
  formatIdentifier,
  GLOBAL_ADDRESS,
  isDirectedGroup,
  isProprietaryGroup,
  MAX_PGN,
  NULL_ADDRESS,
  parseIdentifier,
} from '../../packages/decoder/src/bus/identifier.js'
import { ADDRESS_CLAIMED_PGN, COMMANDED_ADDRESS_PGN, REQUEST_PGN } from '../../packages/decoder/src/bus/nodes.js'
import { ACKNOWLEDGEMENT_PGN } from '../../packages/decoder/src/bus/requests.js'

const BODYWORK = "A truck maker's bodywork CAN manual"
const CAPTURE = 'Open CAN capture of heavy trucks (public dataset)'
const ATTACKS = 'Open captures of attacks on a J1939 bus (public dataset)'
const COURSE = 'University manual on heavy vehicle networks, J1939 chapter'
const GENSET = 'Genset controller manual'
const INTERFACE = 'A CAN interface manual, appendix'
const KEYPAD = 'Keypad J1939 manual'
const LAB = 'University lab notebooks on J1939'
const MARINE = "An engine maker's marine display CAN manual"
const KERNEL = 'Linux kernel: J1939 documentation and header'
const APPENDIX = '1999 J1939 appendix, table A1, as reproduced'
const ENGINE = "An engine maker's published J1939 chapter"
const PARAMETERS = 'University course parameter table'

const KERNEL_HEADER = '/usr/include/linux/can/j1939.h'

/** Which bits are which is the same in all sources (KERNEL); the numbers of each are from the sources named. */
type Example = readonly [
  id: number,
  priority: number,
  pduFormat: number,
  pduSpecific: number,
  pgn: number,
  da: number,
  sa: number,
  what: string,
  sources: readonly string[],
]

const EXAMPLES: readonly Example[] = [
  [0x0cf00400, 3, 240, 4, 61444, 255, 0, 'electronic engine controller 1', [GENSET, BODYWORK]],
  [0x18fef131, 6, 254, 241, 65265, 255, 49, 'cruise control and vehicle speed from the cab', [COURSE, CAPTURE]],
  [0x1cec030b, 7, 236, 3, 60416, 3, 11, 'transport control from brakes to transmission', [COURSE]],
  [0x08fe6e0b, 2, 254, 110, 65134, 255, 11, 'high resolution wheel speed', [LAB, ATTACKS]],
  [0x18eeff00, 6, 238, 255, 60928, 255, 0, 'address claimed by engine 1', [LAB, CAPTURE]],
  [0x18ea0ff9, 6, 234, 15, 59904, 15, 249, 'request to address 15 from a service tool', [LAB]],
  [0x18eaff00, 6, 234, 255, 59904, 255, 0, 'request to all', [CAPTURE]],
  [0x18eafffe, 6, 234, 255, 59904, 255, 254, 'request to all from the null address', [CAPTURE]],
  [0x18fef200, 6, 254, 242, 65266, 255, 0, 'fuel economy', [GENSET, ATTACKS]],
  [0x0cf00300, 3, 240, 3, 61443, 255, 0, 'electronic engine controller 2', [INTERFACE, BODYWORK]],
  [0x18feca80, 6, 254, 202, 65226, 255, 128, 'DM1 from address 128', [KEYPAD]],
  [0x1cecff80, 7, 236, 255, 60416, 255, 128, 'broadcast announcement', [KEYPAD]],
  [0x1cebff80, 7, 235, 255, 60160, 255, 128, 'broadcast data', [KEYPAD]],
  [0x18ea80ff, 6, 234, 128, 59904, 128, 255, 'request from 255, which no node may use', [KEYPAD]],
  [0x0cf00203, 3, 240, 2, 61442, 255, 3, 'electronic transmission controller 1', [BODYWORK, CAPTURE]],
  [0x18f0010b, 6, 240, 1, 61441, 255, 11, 'electronic brake controller 1', [BODYWORK, ATTACKS]],
  [0x18f00010, 6, 240, 0, 61440, 255, 16, 'electronic retarder controller 1', [BODYWORK]],
  [0x0cfe6cee, 3, 254, 108, 65132, 255, 238, 'tachograph', [BODYWORK]],
  [0x18fee617, 6, 254, 230, 65254, 255, 23, 'time and date', [BODYWORK]],
  [0x18fdc40b, 6, 253, 196, 64964, 255, 11, 'electronic brake controller 5', [BODYWORK]],
  [0x18feda2e, 6, 254, 218, 65242, 255, 46, 'software identification', [BODYWORK]],
  [0x18fef627, 6, 254, 246, 65270, 255, 39, 'intake and exhaust conditions 1', [MARINE]],
  [0x18fe9827, 6, 254, 152, 65176, 255, 39, 'turbocharger information 4', [MARINE]],
  [0x18fcbd27, 6, 252, 189, 64701, 255, 39, 'SCR service information 2', [MARINE]],
  [0x0c000003, 3, 0, 0, 0, 0, 3, 'torque and speed control, transmission to engine', [CAPTURE]],
  [0x0c010305, 3, 1, 3, 256, 3, 5, 'shift console to transmission', [CAPTURE]],
  [0x18e0ff31, 6, 224, 255, 57344, 255, 49, 'cab message 1 to all', [CAPTURE]],
  [0x18ecf900, 6, 236, 249, 60416, 249, 0, 'request to send, engine to service tool', [ATTACKS]],
  [0x18ec00f9, 6, 236, 0, 60416, 0, 249, 'clearance to send, service tool to engine', [ATTACKS]],
  [0x14fc9800, 5, 252, 152, 64664, 255, 0, 'priority 5', [CAPTURE]],
  [0x18ff4831, 6, 255, 72, 65352, 255, 49, 'a proprietary group', [CAPTURE]],
  [0x18feee00, 6, 254, 238, 65262, 255, 0, 'engine temperature 1', [ATTACKS]],
  [0x18ecff00, 6, 236, 255, 60416, 255, 0, 'broadcast announcement at priority 6', [CAPTURE]],
]

describe('identifiers', () => {
  it.each(EXAMPLES)('%i is priority %i, format %i, specific %i, group %i, to %i, from %i: %s', (...example) => {
    const [id, priority, pduFormat, pduSpecific, pgn, da, sa] = example
    expect(parseIdentifier(id)).toEqual({
      priority,
      extendedDataPage: 0,
      dataPage: 0,
      pduFormat,
      pduSpecific,
      pgn,
      da,
      sa,
    })
    expect(formatIdentifier({ priority, pgn, sa, da })).toBe(id)
  })

  // The course prints 65024 and 60419 for these two, with the masks of the two formats swapped.
  it.each([
    [0x18fef131, 65265],
    [0x1cec030b, 60416],
  ])('takes the group of %i for %i, not for what swapped masks give', (id, pgn) => {
    expect(parseIdentifier(id).pgn).toBe(pgn)
  })

  // Masks: priority 1C000000, extended data page 02000000, data page 01000000, format 00FF0000,
  // specific 0000FF00, source 000000FF (COURSE and LAB).
  it.each([
    [0x1c000000, { priority: 7 }],
    [0x02000000, { extendedDataPage: 1, pgn: 0x20000 }],
    [0x01000000, { dataPage: 1, pgn: 0x10000 }],
    [0x00ff0000, { pduFormat: 255, pgn: 0xff00, da: 255 }],
    [0x0000ff00, { pduSpecific: 255, da: 255 }],
    [0x000000ff, { sa: 255 }],
  ])('reads a field of ones from mask %i and nothing else', (id, fields) => {
    const nothing = {
      priority: 0,
      extendedDataPage: 0,
      dataPage: 0,
      pduFormat: 0,
      pduSpecific: 0,
      pgn: 0,
      da: 0,
      sa: 0,
    }
    expect(parseIdentifier(id)).toEqual({ ...nothing, ...fields })
  })
})

describe('groups', () => {
  it.each([
    [0xef00, true, 'format 239', KERNEL],
    [0xf000, false, 'format 240', KERNEL],
    [0x1ef00, true, 'format 239 on the other data page', KERNEL],
  ])('%i is directed: %s (%s; %s)', (pgn, directed) => {
    expect(isDirectedGroup(pgn)).toBe(directed)
  })

  it.each([
    [61184, true, `${APPENDIX}; university course table`],
    [65280, true, APPENDIX],
    [65535, true, APPENDIX],
    [65279, false, APPENDIX],
    [60928, false, KERNEL],
  ])('%i is proprietary: %s (%s)', (pgn, proprietary) => {
    expect(isProprietaryGroup(pgn)).toBe(proprietary)
  })
})

describe('constants', () => {
  it.each([
    ['address that means all', GLOBAL_ADDRESS, 255, [KERNEL, LAB]],
    ['address of a node without one', NULL_ADDRESS, 254, [KERNEL, LAB]],
    ['first format without destination', FIRST_PDU2_FORMAT, 240, [KERNEL, COURSE]],
    ['highest group', MAX_PGN, 0x3ffff, [KERNEL]],
    ['request', REQUEST_PGN, 59904, [KERNEL, CAPTURE]],
    ['address claimed', ADDRESS_CLAIMED_PGN, 60928, [KERNEL, LAB]],
    ['commanded address', COMMANDED_ADDRESS_PGN, 65240, [KERNEL, PARAMETERS]],
    ['acknowledgement', ACKNOWLEDGEMENT_PGN, 59392, [ENGINE]],
  ])('%s is %i', (_, value, published) => {
    expect(value).toBe(published)
  })

  it.for([
    ['J1939_NO_ADDR', GLOBAL_ADDRESS],
    ['J1939_IDLE_ADDR', NULL_ADDRESS],
    ['J1939_MAX_UNICAST_ADDR', NULL_ADDRESS - 1],
    ['J1939_PGN_REQUEST', REQUEST_PGN],
    ['J1939_PGN_ADDRESS_CLAIMED', ADDRESS_CLAIMED_PGN],
    ['J1939_PGN_ADDRESS_COMMANDED', COMMANDED_ADDRESS_PGN],
    ['J1939_PGN_MAX', MAX_PGN],
  ])('%s of the kernel header is %i', ([name, value], context) => {
    context.skip(!existsSync(KERNEL_HEADER), 'no kernel header on this machine')
    const header = readFileSync(KERNEL_HEADER, 'utf8')
    expect(Number(new RegExp(`^#define ${name}\\s+(0x[0-9a-f]+)`, 'm').exec(header)?.[1])).toBe(value)
  })
})
