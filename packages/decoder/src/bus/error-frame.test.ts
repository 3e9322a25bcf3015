import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { CONTROLLER_STATES, decodeErrorFrame, ERROR_CLASSES } from './error-frame.js'

const decode = (id: number, ...data: number[]) => decodeErrorFrame(1, 5, id, Uint8Array.from(data))

describe('an error frame', () => {
  // linux/can/error.h: class bits in the identifier, the controller's status in data[1].
  it.each([
    [0x001, ['tx-timeout'], []],
    [0x002, ['lost-arbitration'], []],
    [0x004, ['controller'], ['tx-warning']],
    [0x008, ['protocol'], []],
    [0x010, ['transceiver'], []],
    [0x020, ['no-acknowledgement'], []],
    [0x040, ['bus-off'], []],
    [0x080, ['bus-error'], []],
    [0x100, ['restarted'], []],
    [0x200, ['counters'], []],
    [0x204, ['controller', 'counters'], ['tx-warning']],
    [0x1ffffc00, [], []],
  ])('of class bits %i is %j', (id, classes, controller) => {
    expect(decode(id, 0xff, 0x08, 0xff)).toMatchObject({ channel: 1, time: 5, id, classes, controller })
  })

  it.each([
    [0x00, []],
    [0x01, ['rx-overflow']],
    [0x02, ['tx-overflow']],
    [0x04, ['rx-warning']],
    [0x08, ['tx-warning']],
    [0x10, ['rx-passive']],
    [0x20, ['tx-passive']],
    [0x40, ['active']],
    [0xb0, ['rx-passive', 'tx-passive']],
  ])('with a controller status of %i says %j', (status, controller) => {
    expect(decode(0x004, 0, status).controller).toEqual(controller)
  })

  it('without its second byte says nothing of the controller', () => {
    expect(decode(0x004, 0xff)).toMatchObject({ classes: ['controller'], controller: [] })
  })

  it('keeps its data', () => {
    const data = Uint8Array.of(1, 2, 3)
    const frame = decodeErrorFrame(0, 0, 0x40, data)
    data.fill(0)
    expect([...frame.data]).toEqual([1, 2, 3])
  })
})

const KERNEL_HEADER = '/usr/include/linux/can/error.h'

describe.skipIf(!existsSync(KERNEL_HEADER))('the kernel’s header', () => {
  const defined = (prefix: string, names: readonly string[]): (number | undefined)[] => {
    const text = readFileSync(KERNEL_HEADER, 'utf8')
    return names.map((name) => {
      const found = new RegExp(`^#define ${prefix}_${name}\\s+0x([0-9A-Fa-f]+)`, 'm').exec(text)
      return found?.[1] === undefined ? undefined : Number.parseInt(found[1], 16)
    })
  }

  it('has the same classes', () => {
    const names = 'TX_TIMEOUT LOSTARB CRTL PROT TRX ACK BUSOFF BUSERROR RESTARTED CNT'.split(' ')
    expect(names).toHaveLength(ERROR_CLASSES.length)
    // Older headers have no counters.
    const values = defined('CAN_ERR', names).filter((value) => value !== undefined)
    expect(values.length).toBeGreaterThanOrEqual(ERROR_CLASSES.length - 1)
    expect(values).toEqual(values.map((_, bit) => 2 ** bit))
  })

  it('has the same states of the controller', () => {
    const names = ['RX_OVERFLOW', 'TX_OVERFLOW', 'RX_WARNING', 'TX_WARNING', 'RX_PASSIVE', 'TX_PASSIVE', 'ACTIVE']
    expect(defined('CAN_ERR_CRTL', names)).toEqual(CONTROLLER_STATES.map((_, bit) => 2 ** bit))
  })
})
