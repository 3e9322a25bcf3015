import { describe, expect, it } from 'vitest'
import { decodeName, encodeName } from '../../bus/name.js'
import { nodeRole } from './node-role.js'

const claims = (fn: number, industryGroup: number) =>
  decodeName(
    encodeName({
      identityNumber: 7,
      manufacturerCode: 0,
      ecuInstance: 0,
      functionInstance: 0,
      function: fn,
      reserved: 0,
      vehicleSystem: 0,
      vehicleSystemInstance: 0,
      industryGroup,
      arbitraryAddressCapable: false,
    }),
  )

describe('nodeRole', () => {
  // Functions and addresses as in the tables beside it, which name their sources.
  it.each([
    ['an address says which of two engines it is', 1, claims(0, 1), 'Engine 2'],
    ['a NAME wins over what usually has the address', 3, claims(0, 1), 'Engine'],
    ['without a NAME the address stands', 0, null, 'Engine 1'],
    ['a function nobody knows leaves the address', 11, claims(80, 1), 'Brakes, system controller'],
    ['a dynamic address says nothing without a NAME', 130, null, undefined],
    ['what has no address is known by its NAME', 254, claims(0, 1), 'Engine'],
    ['the null address is nobody', 254, null, undefined],
    ['nor is the global one', 255, null, undefined],
  ])('%s', (_, sa, name, role) => {
    expect(nodeRole(sa, name)).toBe(role)
  })
})
