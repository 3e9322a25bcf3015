import { decodeName, encodeName } from '@firstcrank/decoder'
import { nodeRole } from '@firstcrank/decoder/catalog'
import { describe, expect, it } from 'vitest'
import { ADDRESS, FUNCTION, nodeName } from './identity.js'

describe('the nodes of the truck', () => {
  // Functions and addresses as the decoder's tables have them, with their sources there.
  it.each([
    ['engine', 'engine', 'Engine 1'],
    ['transmission', 'transmission', 'Transmission 1'],
    ['brakes', 'brakes', 'Brakes, system controller'],
    ['display', 'gauge', 'Cab display 1'],
    ['io', 'body', 'I/O controller'],
    ['tool', 'tool', 'Off-board diagnostic service tool 1'],
  ] as const)('its NAME calls the %s what it is', (fn, address, role) => {
    expect(nodeRole(ADDRESS[address], decodeName(encodeName(nodeName(FUNCTION[fn], 7))))).toBe(role)
  })
})
