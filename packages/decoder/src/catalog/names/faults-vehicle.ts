/** Faults of pedals, cruise control, speed and distance, tachograph, body, climate, hydraulics, position. */
import type { FaultTable } from './fault-table.js'

export const VEHICLE_FAULTS: FaultTable = {
  theme: 'vehicle',
  source: 'memory',
  names: {
    28: 'Accelerator pedal position 3',
    41: 'Cruise control switches status',
    50: 'A/C clutch status',
    83: 'Road speed limit status, older number',
    85: 'Cruise control status',
    178: 'Front axle weight',
    179: 'Rear axle weight',
    1676: 'Auxiliary heater coolant water pump status',
    1677: 'Auxiliary heater mode',
    1687: 'Auxiliary heater output coolant temperature',
    1688: 'Auxiliary heater input air temperature',
    1689: 'Auxiliary heater output power percent',
    1690: 'Auxiliary heater maximum output power',
    1762: 'Hydraulic pressure',
    2596: 'Selected maximum vehicle speed limit',
    2609: 'Cab A/C refrigerant compressor outlet pressure',
    2623: 'Accelerator pedal 1 channel 2',
    5608: 'Source address of controlling device for disabling cruise control',
    5609: 'Source address of controlling device for pausing cruise control',
  },
}
