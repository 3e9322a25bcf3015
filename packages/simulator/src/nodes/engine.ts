/** What the engine's controller tells the bus, and what it can be asked. */
import { encodeGroup, type GroupInput, type SignalInput } from '@firstcrank/decoder'
import type { Bus } from '../bus/bus.js'
import type { Controller } from '../controller/controller.js'
import { ENGINE, FULL_LOAD_TORQUE, frictionTorque } from '../figures.js'
import { clamp, interpolate, square } from '../math.js'
import type { Random } from '../random.js'
import { definitionOf, flag } from './definition.js'
import { diagnosticAnswers, PGN } from './diagnostics.js'
import { ADDRESS, FUNCTION, nodeName, TEXT } from './identity.js'
import { Node, type PeriodicMessage } from './node.js'

/** A group nobody outside knows: a rolling counter and bytes without meaning. */
const PROPRIETARY = 65298

export function engineNode(controller: Controller, bus: Bus, random: Random): Node {
  return new Node(
    {
      address: ADDRESS.engine,
      name: nodeName(FUNCTION.engine, 417),
      boot: 0.2,
      clockError: random.normal() * 8e-6,
      jitter: 350,
      resetBelow: 7.95,
      memory: controller.memory,
      messages: [...fastMessages(controller), ...slowMessages(controller)],
      answers: answers(controller),
    },
    bus,
    random,
  )
}

/** % of the reference torque. */
const torquePercent = (torque: number): number => (torque / ENGINE.referenceTorque) * 100

function fastMessages(c: Controller): PeriodicMessage[] {
  const actual = (): number => torquePercent(c.commands.fuelTorque)
  return [
    {
      pgn: 61444,
      period: 20,
      signals: [
        [899, () => torqueMode(c)],
        [4154, () => Math.floor((actual() - Math.floor(actual())) * 8) / 8],
        [512, () => torquePercent(c.governor.demand)],
        [513, () => Math.floor(actual())],
        [190, () => c.rpm],
        [1675, () => c.starterMode],
        [2432, () => torquePercent(c.governor.torque)],
      ],
    },
    {
      pgn: 61443,
      period: 50,
      signals: [
        [558, () => flag(c.inputs.value('pedal-1') < 2)],
        [559, () => flag(c.inputs.value('pedal-1') > 98)],
        [1437, () => 1],
        [91, () => c.inputs.report('pedal-1')],
        [92, () => c.load],
        [29, () => c.inputs.report('pedal-2')],
        [3357, () => c.derate * 100],
      ],
    },
    {
      pgn: 61450,
      period: 50,
      signals: [
        [2659, () => (c.commands.egr > 0 ? c.plant.air.egrFlow : 0)],
        [132, () => c.inputs.report('air-mass')],
      ],
    },
    { pgn: 64916, period: 100, signals: [[27, () => c.inputs.report('egr-position')]] },
    { pgn: 64981, period: 100, signals: [[2791, () => c.commands.egr]] },
    {
      pgn: 65266,
      period: 100,
      signals: [
        [183, () => c.plant.fuel.rate],
        [184, () => economy(c)],
        [51, () => 0],
      ],
    },
    {
      pgn: 65247,
      period: 250,
      signals: [
        [514, () => torquePercent(frictionTorque(c.rpm))],
        [515, () => c.governor.idleSpeed],
      ],
    },
    { pgn: 64914, period: 250, signals: [[3543, () => c.operatingState]] },
  ]
}

function slowMessages(c: Controller): PeriodicMessage[] {
  let counter = 0
  return [
    {
      pgn: 65263,
      period: 500,
      signals: [
        [94, () => c.inputs.report('fuel-delivery-pressure')],
        [100, () => c.inputs.report('oil-pressure')],
      ],
    },
    { pgn: 65243, period: 500, signals: [[157, () => c.inputs.report('rail-pressure')]] },
    { pgn: 64765, period: 500, signals: [[5313, () => c.governor.railPressure]] },
    {
      pgn: 64925,
      period: 1000,
      signals: [
        [3509, () => c.inputs.sensorSupply1],
        [3510, () => c.inputs.sensorSupply2],
      ],
    },
    {
      pgn: 65270,
      period: 500,
      signals: [
        [102, () => c.boost],
        [105, () => c.inputs.report('intake-temperature')],
        [107, () => clamp(0.6 + 4 * square(c.inputs.value('air-mass') / 420), 0, 12)],
        [173, () => c.plant.air.exhaust],
      ],
    },
    { pgn: 64976, period: 500, signals: [[3563, () => c.inputs.value('intake-pressure')]] },
    {
      pgn: 65262,
      period: 1000,
      signals: [
        [110, () => c.inputs.report('coolant-temperature')],
        [174, () => c.inputs.report('fuel-temperature')],
        [175, () => c.inputs.report('oil-temperature')],
      ],
    },
    { pgn: 65188, period: 1000, signals: [[1136, () => c.plant.cooling.controller]] },
    {
      pgn: 65269,
      period: 1000,
      signals: [
        [108, () => c.inputs.report('barometric-pressure')],
        [171, () => c.inputs.report('ambient-temperature')],
        [172, () => c.inputs.report('air-inlet-temperature')],
      ],
    },
    {
      pgn: 65271,
      period: 1000,
      signals: [
        [167, () => c.inputs.volts],
        [168, () => c.inputs.volts],
        [158, () => c.inputs.keyVolts],
      ],
    },
    {
      pgn: 65252,
      period: 1000,
      signals: [
        [593, () => 0],
        [1081, () => flag(c.starting.lamp)],
        [1110, () => 0],
        [1109, () => flag(c.derate < 0.5)],
        [1111, () => 1],
      ],
    },
    {
      pgn: 65213,
      period: 1000,
      signals: [[975, () => c.commands.fan * 100]],
    },
    { pgn: 65245, period: 1000, signals: [[103, () => c.plant.air.turboSpeed]] },
    { pgn: 65279, period: 10_000, signals: [[97, () => flag(c.waterInFuel)]] },
    { pgn: 65251, period: 5000, bytes: () => configuration(c) },
    {
      pgn: PROPRIETARY,
      period: 500,
      bytes: () => {
        counter = (counter + 1) & 0xff
        return Uint8Array.of(counter, 0x3c, (counter * 37) & 0xff, 0x10, 0xff, 0xff, 0x00, 0xff)
      },
    },
  ]
}

/** SPN 899: 0 idle governor, 1 pedal, 6 transmission control, 8 torque limiting. */
function torqueMode(c: Controller): number {
  if (c.running === 0) return 0
  if (c.plant.vehicle.shifting) return 6
  if (c.governor.limited) return 8
  return c.pedal > 1 ? 1 : 0
}

/** km/L at this moment; the highest value where no fuel is burned. */
function economy(c: Controller): SignalInput {
  const { kmh } = c.plant.vehicle
  if (kmh < 1) return 0
  return c.plant.fuel.rate > 0.05 ? kmh / c.plant.fuel.rate : 125
}

/** Points of the torque curve, rpm. */
const CURVE = [800, 1500, 1200, 2400, 3200] as const

/** EC1: idle point and torque curve, as this engine is built. 39 bytes, so it goes in packets. */
function configuration(c: Controller): Uint8Array {
  const percent = (rpm: number): number => torquePercent(interpolate(FULL_LOAD_TORQUE, rpm) + frictionTorque(rpm))
  const values: GroupInput = {
    188: c.governor.idleSpeed,
    539: percent(c.governor.idleSpeed),
    528: CURVE[1],
    540: percent(CURVE[1]),
    529: CURVE[2],
    541: percent(CURVE[2]),
    530: CURVE[3],
    542: percent(CURVE[3]),
    531: CURVE[4],
    543: percent(CURVE[4]),
    532: ENGINE.maximumSpeed,
    544: ENGINE.referenceTorque,
    533: ENGINE.maximumSpeed,
    535: 750,
    536: 2500,
    537: 0,
    538: 100,
    1794: ENGINE.inertia,
  }
  return encodeKnown(65251, values, 39)
}

/** A payload of a defined group, cut or filled to a length. */
function encodeKnown(pgn: number, values: GroupInput, length?: number): Uint8Array {
  const payload = encodeGroup(definitionOf(pgn), values)
  if (length === undefined) return payload
  const sized = new Uint8Array(length).fill(0xff)
  sized.set(payload.subarray(0, length))
  return sized
}

function answers(c: Controller): Map<number, () => Uint8Array> {
  return new Map([
    ...diagnosticAnswers(c.memory),
    [PGN.component, () => TEXT.engine],
    [PGN.software, () => TEXT.engineSoftware],
    [PGN.controller, () => TEXT.engineController],
    [PGN.vehicle, () => TEXT.vehicle],
    [65253, () => encodeKnown(65253, { 247: c.hours, 249: Math.floor(c.hours * 60 * 1650) })],
    [65257, () => encodeKnown(65257, { 182: c.plant.fuel.used, 250: c.fuelUsed })],
  ])
}
