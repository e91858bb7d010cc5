"""NFPA 70, National Electrical Code: the questions that this family asks, in order."""

from engine.rules.judging import Rule
from engine.rules.shared import conductor, controller, device, fuse, site, voltage

RULES: tuple[Rule, ...] = (
    site.source_entered,
    voltage.standoff_limit,
    voltage.standoff_battery_open,
    voltage.operating_limit,
    voltage.module_system_voltage,
    voltage.start_voltage,
    voltage.string_length,
    controller.controller_kind,
    controller.controller_input,
    controller.controller_output,
    controller.controller_short_circuit,
    controller.nominal_step,
    controller.mixed_strings,
    fuse.string_fuse,
    conductor.conductor,
    conductor.voltage_drop,
    conductor.insulation_voltage,
    conductor.terminal_size,
    conductor.earthing_size,
    device.voltage_class,
    device.device_rating,
    device.device_supply,
    device.device_voltage,
    device.device_current,
    device.device_polarity,
    device.device_kind,
    device.device_breaking,
)
