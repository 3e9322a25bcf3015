/** What the controller keeps of the moment a fault appeared, in the form DM4 sends it. */
import type { Controller } from './controller.js'

/**
 * The eight bytes after the trouble code: torque mode, boost (2 kPa), engine speed (0.125 rpm, two
 * bytes), load (1 %), coolant (1 °C from −40), road speed (1/256 km/h, two bytes). From memory of
 * SAE J1939-73, as the decoder has it.
 */
export function freezeFrame(controller: Controller): Uint8Array {
  const speed = Math.round(controller.rpm * 8)
  const road = Math.round(controller.plant.vehicle.kmh * 256)
  return Uint8Array.of(
    controller.pedal > 2 ? 1 : 0,
    Math.round(controller.boost / 2),
    speed & 0xff,
    speed >> 8,
    Math.round(Math.min(250, controller.load)),
    Math.round(controller.inputs.value('coolant-temperature') + 40),
    road & 0xff,
    road >> 8,
  )
}
