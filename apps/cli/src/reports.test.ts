import { describe, expect, test } from 'vitest'
import { capture } from './capture.js'

/**
 * Made up to check the form, not any engine; layouts from memory, as the decoder has them. Node 0 claims to be
 * an engine. It answers with a freeze frame of SPN 110 FMI 3 in a broadcast of 14 bytes, with readiness twice,
 * and with an expanded freeze frame of SPN 100 FMI 1: engine speed and coolant temperature, as its DM24 lists
 * them. Node 249 asks for memory access. Node 3 has an expanded freeze frame and no list.
 */
const LOG = `(1700000000.000000) can0 18EEFF00#0000E00400000080
(1700000000.100000) can0 18FECA00#00FF00000000FFFF
(1700000001.000000) can0 1CECFF00#200E0002FFCDFE00
(1700000001.050000) can0 1CEBFF00#010D6E0003011050
(1700000001.100000) can0 1CEBFF00#0260204010800599
(1700000002.000000) can0 18FECE00#0203140703000000
(1700000003.000000) can0 18FECE00#0103140703010001
(1700000004.000000) can0 1CECFF00#20080002FFB6FD00
(1700000004.050000) can0 1CEBFF00#01BE0018026E0018
(1700000004.100000) can0 1CEBFF00#0201FFFFFFFFFFFF
(1700000005.000000) can0 18FDB700#0764000101E0155A
(1700000006.000000) can0 18FDB703#0764000101E0155A
(1700000007.000000) can0 18D900F9#0102030405060708
(1700000007.500000) can0 18D900F9#0102030405060708
`

const faults = async (log: string, ...argv: string[]) => {
  const { stdout, stderr, exitCode } = await capture(['faults', '-', ...argv], log)
  expect({ stderr, exitCode }).toEqual({ stderr: '', exitCode: 0 })
  return stdout
}

describe('other diagnostic messages', () => {
  test('as text, the latest of each', async () => {
    const text = await faults(LOG)
    expect(text.slice(text.indexOf('Other diagnostic'))).toBe(`Other diagnostic messages, the latest of each

  DM4, Freeze frame parameters: Engine 1 (address 0) to all nodes, 1.100 s
    SPN 110 FMI 3: Engine coolant temperature: voltage above normal or shorted high; 1 occurrence.
    When it appeared:
      Engine intake manifold 1 pressure (SPN 102): 160 kPa
      Engine speed (SPN 190): 1036.000 rpm
      Engine percent load at current speed (SPN 92): 64 %
      Engine coolant temperature (SPN 110): -24 °C
      Wheel-based vehicle speed (SPN 84): 5.500 km/h
      Engine torque mode, byte as sent: 10
      Further bytes, known to the maker: 99

  DM5, Diagnostic readiness 1: Engine 1 (address 0) to all nodes, 3.000 s
    Active trouble codes (SPN 1218): 1
    Previously active trouble codes (SPN 1219): 3
    Built to comply with (SPN 1220): HD OBD (code 20)
    Monitors, complete: misfire, fuel system, comprehensive component, catalyst, heated catalyst
    Monitors, not there: evaporative system, secondary air system, air conditioning refrigerant,
    exhaust gas sensor, exhaust gas sensor heater, exhaust gas recirculation and variable valve
    timing, boost pressure control, diesel particulate filter, NOx converting catalyst or adsorber,
    NMHC converting catalyst
    Monitors, not complete: cold start aid

  DM24, Supported parameters: Engine 1 (address 0) to all nodes, 4.100 s
    In the freeze frame, in this order: Engine speed (SPN 190, 2 bytes); Engine coolant temperature
    (SPN 110, 1 byte)
    Sent as ordinary data: Engine speed (SPN 190); Engine coolant temperature (SPN 110)
    With test results: Engine speed (SPN 190); Engine coolant temperature (SPN 110)

  DM25, Expanded freeze frame: Engine 1 (address 0) to all nodes, 5.000 s
    SPN 100 FMI 1: Engine oil pressure: below normal range, most severe; 1 occurrence. When it
    appeared:
      Engine speed (SPN 190): 700.000 rpm
      Engine coolant temperature (SPN 110): 50 °C

  DM25, Expanded freeze frame: Transmission 1 (address 3) to all nodes, 6.000 s
    SPN 100 FMI 1: Engine oil pressure: below normal range, most severe; 1 occurrence. When it
    appeared:
      Bytes, without a list (DM24) of the node that fits them: E0155A

  DM14, Memory access request: Off-board diagnostic service tool 1 (address 249) to Engine 1
  (address 0), 7.500 s
    Known by name only; bytes: 0102030405060708

  1 more message of other content; --format json has all.
`)
  })

  test('as json, each content once', async () => {
    const { reports, reportsDropped } = JSON.parse(await faults(LOG, '--format', 'json'))
    expect(reportsDropped).toBe(0)
    expect(reports.map(({ dm, count }: { dm: number; count: number }) => [dm, count])).toEqual([
      [4, 1],
      [5, 1],
      [5, 1],
      [24, 1],
      [25, 1],
      [25, 1],
      [14, 2],
    ])
    expect(Object.keys(reports[0])).toEqual([
      ...['channel', 'sa', 'da', 'pgn', 'dm', 'name', 'firstSeen', 'lastSeen', 'count', 'diagnostic'],
    ])
    expect(reports[4]).toMatchObject({
      ...{ channel: 'can0', sa: 0, da: 255, pgn: 64951, dm: 25, name: 'Expanded freeze frame' },
      ...{ firstSeen: 1700000005, lastSeen: 1700000005 },
      diagnostic: { frames: [{ dtc: { spn: 100, fmi: 1 }, parameters: [{ spn: 190, raw: 0x15e0 }, { spn: 110 }] }] },
    })
    expect(reports[6]).toMatchObject({ sa: 249, da: 0, diagnostic: { kind: 'other', payload: '0102030405060708' } })
  })
})
