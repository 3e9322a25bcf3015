/**
 * Label sets that several signals share, and the long ones. Labels are lower case and say what is so,
 * in the standard's words, shortened. Only codes with a meaning of their own are listed: "error" and
 * "not available" are statuses, not labels (see `signal/status.ts`).
 *
 * The labels are from memory of SAE J1939-71 except where a row's note says otherwise.
 */
import type { StateLabels } from './definition.js'

/** For codes that are only a number: source addresses, axle and wheel locations, message counters. */
export const NUMBER_ONLY: StateLabels = {}

export const OFF_ON: StateLabels = { 0: 'off', 1: 'on' }
/** Where the name is a statement: "reading stable", "has shut down engine". */
export const NO_YES: StateLabels = { 0: 'no', 1: 'yes' }
export const ACTIVE: StateLabels = { 0: 'not active', 1: 'active' }
export const PASSIVE_ACTIVE: StateLabels = { 0: 'passive', 1: 'active' }
/** Anti-lock and traction functions. */
export const INSTALLED: StateLabels = { 0: 'passive but installed', 1: 'active' }
export const ENABLED: StateLabels = { 0: 'disabled', 1: 'enabled' }
export const PRESSED: StateLabels = { 0: 'released', 1: 'pressed' }
export const SET: StateLabels = { 0: 'not set', 1: 'set' }
export const ENGAGED: StateLabels = { 0: 'disengaged', 1: 'engaged' }
/** 11 is "take no action". */
export const CRUISE_DISABLE: StateLabels = { 0: 'allowed', 1: 'not allowed' }
export const REQUESTED: StateLabels = { 0: 'not requested', 1: 'requested' }
export const DETECTED: StateLabels = { 0: 'not detected', 1: 'detected' }
export const INHIBITED: StateLabels = { 0: 'not inhibited', 1: 'inhibited' }
export const PRESENT: StateLabels = { 0: 'not present', 1: 'present' }
export const CHARGING: StateLabels = { 0: 'not charging', 1: 'charging' }
/** Road speed limit: 0 means active, unlike most. */
export const ACTIVE_IS_0: StateLabels = { 0: 'active', 1: 'not active' }
export const SUPPORTED: StateLabels = { 0: 'disabled', 1: 'supported' }
export const AXLE_RANGE: StateLabels = { 0: 'low speed range', 1: 'high speed range' }
export const LOW_IDLE: StateLabels = { 0: 'not in low idle condition', 1: 'in low idle condition' }
export const LIMIT_ACTIVE: StateLabels = { 0: 'limit not active', 1: 'limit active' }
export const CALIBRATED: StateLabels = { 0: 'disabled in calibration', 1: 'enabled in calibration' }

/** How a lamp flashes. */
export const LAMP_FLASH: StateLabels = { 0: 'slow flash, 1 Hz', 1: 'fast flash, 2 Hz', 3: 'no flash' }
/** What a 3-bit lamp command says. */
export const LAMP_COMMAND: StateLabels = { 0: 'off', 1: 'on, solid', 4: 'on, fast blink' }

export const PRIORITY: StateLabels = { 0: 'highest', 1: 'high', 2: 'medium', 3: 'low' }

/** Who or what governs the torque. */
export const TORQUE_MODE: StateLabels = {
  0: 'low idle governor or no request',
  1: 'accelerator pedal or operator selection',
  2: 'cruise control',
  3: 'PTO governor',
  4: 'road speed governor',
  5: 'ASR control',
  6: 'transmission control',
  7: 'ABS control',
  8: 'torque limiting',
  9: 'high speed governor',
  10: 'braking system',
  11: 'remote accelerator',
  12: 'service procedure',
  14: 'other',
}

export const RETARDER_TORQUE_MODE: StateLabels = {
  0: 'no request',
  1: 'operator selection',
  2: 'cruise control',
  3: 'PTO governor',
  4: 'road speed governor',
  5: 'ASR control',
  6: 'transmission control',
  7: 'ABS control',
  8: 'torque limiting',
  9: 'high speed governor',
  10: 'braking system',
  14: 'other',
}

export const STARTER_MODE: StateLabels = {
  0: 'start not requested',
  1: 'starter active, gear not engaged',
  2: 'starter active, gear engaged',
  3: 'start finished',
  4: 'inhibited, engine already running',
  5: 'inhibited, engine not ready for start (preheating)',
  6: 'inhibited, driveline engaged or other transmission inhibit',
  7: 'inhibited, active immobilizer',
  8: 'inhibited, starter too hot',
  12: 'inhibited, reason unknown',
  13: 'error (older implementations)',
}

export const OPERATING_STATE: StateLabels = {
  0: 'stopped',
  1: 'pre-start',
  2: 'starting',
  3: 'warm-up',
  4: 'running',
  5: 'cool-down',
  6: 'stopping',
  7: 'post-run',
}

export const CRUISE_CONTROL_STATE: StateLabels = {
  0: 'off or disabled',
  1: 'hold',
  2: 'accelerate',
  3: 'decelerate or coast',
  4: 'resume',
  5: 'set',
  6: 'accelerator override',
}

export const PTO_GOVERNOR_STATE: StateLabels = {
  0: 'off or disabled',
  1: 'hold',
  2: 'remote hold',
  3: 'standby',
  4: 'remote standby',
  5: 'set',
  6: 'decelerate or coast',
  7: 'resume',
  8: 'accelerate',
  9: 'accelerator override',
  10: 'preprogrammed set speed 1',
  11: 'preprogrammed set speed 2',
  12: 'preprogrammed set speed 3',
  13: 'preprogrammed set speed 4',
  14: 'preprogrammed set speed 5',
  15: 'preprogrammed set speed 6',
  16: 'preprogrammed set speed 7',
  17: 'preprogrammed set speed 8',
}

export const OVERRIDE_MODE: StateLabels = {
  0: 'override disabled',
  1: 'speed control',
  2: 'torque control',
  3: 'speed and torque limit control',
}

export const SPEED_CONDITIONS: StateLabels = {
  0: 'transient optimized, driveline disengaged',
  1: 'stability optimized, driveline disengaged',
  2: 'stability optimized, driveline engaged, condition 1',
  3: 'stability optimized, driveline engaged, condition 2',
}

export const TSC1_RATE: StateLabels = {
  0: '1000 ms',
  1: '750 ms',
  2: '500 ms',
  3: '250 ms',
  4: '100 ms',
  5: '50 ms',
  6: '20 ms',
  7: 'standard rate',
}

export const TSC1_PURPOSE: StateLabels = {
  0: 'accelerator pedal or operator selection',
  1: 'cruise control',
  2: 'PTO governor',
  3: 'road speed governor',
  4: 'engine protection',
  31: 'temporary powertrain control',
}

export const FAN_DRIVE_STATE: StateLabels = {
  0: 'fan off',
  1: 'engine system, general',
  2: 'excessive engine air temperature',
  3: 'excessive engine oil temperature',
  4: 'excessive engine coolant temperature',
  5: 'excessive transmission oil temperature',
  6: 'excessive hydraulic oil temperature',
  7: 'default operation',
  8: 'reverse operation',
  9: 'manual control',
  10: 'transmission retarder',
  11: 'A/C system',
  12: 'timer',
  13: 'engine brake',
  14: 'other',
}

export const OIL_LEVEL_MEASUREMENT: StateLabels = {
  0: 'conditions valid',
  1: 'not valid, settling timer still counting down',
  2: 'not valid, transmission in gear',
  3: 'not valid, fluid temperature too low',
  4: 'not valid, fluid temperature too high',
  5: 'not valid, vehicle moving',
  6: 'not valid, vehicle not level',
  7: 'not valid, engine speed too low',
  8: 'not valid, engine speed too high',
  9: 'not valid, no request for reading',
  13: 'not valid, other',
}

/** Tachograph, driver's activity. */
export const DRIVER_STATE: StateLabels = { 0: 'rest', 1: 'driver available', 2: 'work', 3: 'drive' }

/** Tachograph, times a driver comes near or has reached. */
export const DRIVER_TIME_STATE: StateLabels = {
  0: 'normal',
  1: '15 min before 4½ h',
  2: '4½ h reached',
  3: '15 min before 9 h',
  4: '9 h reached',
  5: '15 min before 16 h',
  6: '16 h reached',
  13: 'other',
}

export const RETARDER_TYPE: StateLabels = {
  0: 'electric',
  1: 'hydraulic',
  2: 'cooled friction',
  3: 'compression release (engine retarder)',
  4: 'exhaust',
  14: 'other',
}

export const REGENERATION: StateLabels = { 0: 'not active', 1: 'active', 2: 'needed, about to start by itself' }

export const DPF_STATUS: StateLabels = {
  0: 'regeneration not needed',
  1: 'regeneration needed, lowest level',
  2: 'regeneration needed, moderate level',
  3: 'regeneration needed, highest level',
}

export const INDUCEMENT: StateLabels = {
  0: 'not active',
  1: 'level 1',
  2: 'level 2',
  3: 'level 3',
  4: 'level 4',
  5: 'level 5',
  6: 'temporary override',
}

export const RETARDER_LOCATION: StateLabels = {
  0: 'engine compression release (engine speed)',
  1: 'engine exhaust (engine speed)',
  2: 'transmission input (engine speed)',
  3: 'transmission output (output shaft speed)',
  4: 'driveline (output shaft speed)',
  5: 'trailer (vehicle speed)',
  14: 'other',
}

export const FORCED_REGENERATION: StateLabels = {
  0: 'not active',
  1: 'forced by switch',
  2: 'forced by service tool',
}

/** Heater of a gas sensor; a cold sensor goes through 2, 1, 0, as a recording shows. */
export const SENSOR_HEATER: StateLabels = { 0: 'automatic', 1: 'preheat 2', 2: 'preheat 1' }

/** Endurance brake integration. */
export const EBI_MODE: StateLabels = {
  0: 'no endurance brake integration allowed',
  1: 'only endurance brakes allowed',
  2: 'endurance brake integration allowed',
}

export const XBR_MODE: StateLabels = {
  0: 'override disabled',
  1: 'acceleration control, addition mode',
  2: 'acceleration control, maximum mode',
}

export const TIRE_THRESHOLD: StateLabels = {
  0: 'extreme over pressure',
  1: 'over pressure',
  2: 'no warning pressure',
  3: 'under pressure',
  4: 'extreme under pressure',
}

/** Labels from memory; two further codes are not remembered and stay numbers. */
export const SCR_STATE: StateLabels = {
  0: 'dormant',
  1: 'preparing to dose',
  2: 'normal dosing',
  3: 'system error pending',
  5: 'protection against heat',
  6: 'protection against cold',
  7: 'shutoff',
  8: 'diagnosis after the run',
  9: 'service mode, dosing allowed',
  10: 'service mode, dosing not allowed',
  11: 'ready to power down',
  12: 'priming',
}

export const ACC_MODE: StateLabels = {
  0: 'off (standby)',
  1: 'speed control active',
  2: 'distance control active',
  3: 'overtake mode',
  4: 'hold mode',
  5: 'finish mode',
}

export const ACC_DISTANCE_MODE: StateLabels = {
  0: 'distance 1 (largest)',
  1: 'distance 2',
  2: 'distance 3',
  3: 'distance 4',
  4: 'distance 5 (shortest)',
  5: 'conventional cruise control',
}

export const AEBS_STATE: StateLabels = {
  0: 'not ready, initializing',
  1: 'temporarily not available',
  2: 'deactivated by the driver',
  3: 'ready, no warning and no braking active',
  4: 'overridden by the driver',
  5: 'collision warning active',
  6: 'collision warning with braking',
  7: 'emergency braking active',
}

export const XBR_STATE: StateLabels = {
  0: 'any external brake demand is accepted',
  1: 'only demands of the highest priority are accepted',
  2: 'no external brake demand is accepted',
}

export const XBR_CONTROL_MODE: StateLabels = {
  0: 'no brake demand executed',
  1: "driver's brake demand executed",
  2: 'addition mode',
  3: 'maximum mode',
}

export const LIGHT_DATA: StateLabels = { 0: 'de-activated', 1: 'activated', 2: 'fault detected' }

export const LIGHT_COMMAND: StateLabels = { 0: 'de-activate', 1: 'activate' }

export const ENABLE_MODE: StateLabels = { 0: 'disable mode', 1: 'enable mode' }

export const RELEASE_LOCK: StateLabels = { 0: 'lock allowed', 1: 'disengage the lock' }

export const LAGGING: StateLabels = { 0: 'leading', 1: 'lagging' }
