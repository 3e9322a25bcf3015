/** Gearbox and brakes: what their controllers tell the bus. */
import type { Bus } from '../bus/bus.js'
import { FaultMemory } from '../controller/fault-memory.js'
import { ENGINE, SHIFT_TORQUE } from '../figures.js'
import { clamp } from '../math.js'
import type { DriverInputs, Plant } from '../physics/plant.js'
import type { Random } from '../random.js'
import { flag } from './definition.js'
import { diagnosticAnswers, PGN } from './diagnostics.js'
import { ADDRESS, FUNCTION, nodeName, TEXT } from './identity.js'
import { Node } from './node.js'

const ascii = (text: string): number => text.charCodeAt(0) + 256 * text.charCodeAt(1)

export function transmissionNode(
  plant: Plant,
  driver: DriverInputs,
  bus: Bus,
  random: Random,
): { node: Node; memory: FaultMemory } {
  const memory = new FaultMemory()
  const { vehicle } = plant
  const range = (): number => ascii(driver.drive ? `D${vehicle.gear}` : 'N ')
  const node = new Node(
    {
      address: ADDRESS.transmission,
      name: nodeName(FUNCTION.transmission, 1133),
      boot: 0.12,
      clockError: random.normal() * 20e-6,
      jitter: 250,
      resetBelow: 7,
      memory,
      messages: [
        {
          pgn: 61442,
          period: 20,
          signals: [
            [560, () => flag(vehicle.gear > 0 && !vehicle.shifting)],
            [573, () => flag(vehicle.locked)],
            [574, () => flag(vehicle.shifting)],
            [191, () => vehicle.outputRpm],
            [522, () => slip(plant)],
            [161, () => vehicle.inputRpm],
          ],
        },
        {
          pgn: 61445,
          period: 100,
          bytes: gearBytes(plant, range),
        },
        {
          // While it shifts it asks the engine for no more than a little torque.
          pgn: 0,
          period: 20,
          to: ADDRESS.engine,
          when: () => vehicle.shifting,
          signals: [
            [695, () => 3],
            [897, () => 1],
            [898, () => 8000],
            [518, () => (SHIFT_TORQUE / ENGINE.referenceTorque) * 100],
          ],
        },
        {
          pgn: 65272,
          period: 1000,
          signals: [
            [127, () => (plant.crank.rpm > 400 ? 1100 + 0.1 * plant.crank.rpm : 0)],
            [177, () => plant.surroundings.ambient + 0.8 * (plant.cooling.oil - plant.surroundings.ambient)],
          ],
        },
      ],
      answers: new Map([...diagnosticAnswers(memory), [PGN.component, () => TEXT.transmission]]),
    },
    bus,
    random,
  )
  return { node, memory }
}

/** Slip of the converter, %. */
function slip(plant: Plant): number {
  const { crank, vehicle } = plant
  return vehicle.gear > 0 && crank.rpm > 100 ? clamp((1 - vehicle.inputRpm / crank.rpm) * 100, 0, 100) : 0
}

/** ETC2: selected gear, ratio, current gear, and the two ranges as letters. */
function gearBytes(plant: Plant, range: () => number): () => Uint8Array {
  const { vehicle } = plant
  return () => {
    const gear = vehicle.gear + 125
    const ratio = Math.round(vehicle.ratio * 1000)
    const letters = range()
    return Uint8Array.of(
      gear,
      ratio & 0xff,
      ratio >> 8,
      gear,
      letters & 0xff,
      letters >> 8,
      letters & 0xff,
      letters >> 8,
    )
  }
}

/** m between the wheels of an axle. */
const TRACK = 1.7

export function brakesNode(
  plant: Plant,
  driver: DriverInputs,
  bus: Bus,
  random: Random,
): { node: Node; memory: FaultMemory } {
  const memory = new FaultMemory()
  const { vehicle } = plant
  // In a bend the outer wheels run faster: Δv = v · track / radius, with radius = v² / a.
  const difference = (): number => (vehicle.speed > 1.5 ? ((driver.cornering * TRACK) / vehicle.speed / 2) * 3.6 : 0)
  const wheel = (side: 1 | -1, bias: number) => () =>
    vehicle.speed > 0.3 ? clamp(side * difference() + bias, -7.8, 7.8) : 0
  const biases = [random.normal() * 0.03, random.normal() * 0.03] as const
  const node = new Node(
    {
      address: ADDRESS.brakes,
      name: nodeName(FUNCTION.brakes, 2208),
      boot: 0.16,
      clockError: random.normal() * 20e-6,
      jitter: 300,
      resetBelow: 7.2,
      memory,
      messages: [
        {
          pgn: 61441,
          period: 100,
          signals: [
            [563, () => 0],
            [1121, () => flag(driver.brake > 0.02)],
            [521, () => driver.brake * 100],
          ],
        },
        {
          pgn: 65215,
          period: 100,
          signals: [
            [904, () => vehicle.kmh],
            [905, wheel(1, biases[0])],
            [906, wheel(-1, -biases[0])],
            [907, wheel(1, biases[1])],
            [908, wheel(-1, -biases[1])],
          ],
        },
      ],
      answers: new Map(diagnosticAnswers(memory)),
    },
    bus,
    random,
  )
  return { node, memory }
}
