import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BusError } from './error.js'
import { decodeName, encodeName, type NameFields } from './name.js'

const eightBytes = fc.uint8Array({ minLength: 8, maxLength: 8 })

describe('decodeName', () => {
  it('reads at an offset, all bytes different', () => {
    const bytes = Uint8Array.of(0xaa, 0x12, 0x34, 0x56, 0x78, 0x9a, 0xbc, 0xde, 0xf1, 0xbb)
    expect(decodeName(bytes, 1)).toEqual({
      identityNumber: 0x163412,
      manufacturerCode: 0x3c2,
      ecuInstance: 2,
      functionInstance: 19,
      function: 0xbc,
      reserved: 0,
      vehicleSystem: 0x6f,
      vehicleSystemInstance: 1,
      industryGroup: 7,
      arbitraryAddressCapable: true,
      value: 0xf1debc9a78563412n,
    })
  })

  it('agrees with the bits of one 64-bit number', () => {
    fc.assert(
      fc.property(eightBytes, (bytes) => {
        const value = bytes.reduceRight((sum, byte) => sum * 256n + BigInt(byte), 0n)
        const bits = (first: number, width: number) => Number((value >> BigInt(first)) & (2n ** BigInt(width) - 1n))
        expect(decodeName(bytes)).toEqual({
          identityNumber: bits(0, 21),
          manufacturerCode: bits(21, 11),
          ecuInstance: bits(32, 3),
          functionInstance: bits(35, 5),
          function: bits(40, 8),
          reserved: bits(48, 1),
          vehicleSystem: bits(49, 7),
          vehicleSystemInstance: bits(56, 4),
          industryGroup: bits(60, 3),
          arbitraryAddressCapable: bits(63, 1) === 1,
          value,
        })
      }),
    )
  })

  it.each([
    [7, 0],
    [8, 1],
    [8, -1],
    [0, 0],
  ])('refuses %i bytes from %i', (length, offset) => {
    const call = () => decodeName(new Uint8Array(length), offset)
    expect(call).toThrow(BusError)
    expect(call).toThrow(expect.objectContaining({ code: 'name-length' }))
  })
})

describe('encodeName', () => {
  it('is the inverse', () => {
    fc.assert(
      fc.property(eightBytes, (bytes) => {
        expect(encodeName(decodeName(bytes))).toEqual(bytes)
      }),
    )
  })

  const name: NameFields = decodeName(new Uint8Array(8))
  it.each<Partial<NameFields>>([
    { identityNumber: 2 ** 21 },
    { manufacturerCode: 2048 },
    { ecuInstance: 8 },
    { functionInstance: 32 },
    { function: 256 },
    { reserved: 2 },
    { vehicleSystem: 128 },
    { vehicleSystemInstance: 16 },
    { industryGroup: 8 },
    { function: -1 },
    { function: 1.5 },
  ])('refuses %j', (field) => {
    const call = () => encodeName({ ...name, ...field })
    expect(call).toThrow(BusError)
    expect(call).toThrow(expect.objectContaining({ code: 'name-field' }))
  })
})
