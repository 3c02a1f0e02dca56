"""Which neutrals need no joint with earth: what the rules on neutral bonds share."""

from __future__ import annotations

from rigline.kinds.converters import Inverter, Transformer
from rigline.kinds.devices import Overcurrent
from rigline.kinds.loads import Load, Sensor
from rigline.kinds.sources import ShoreInlet
from rigline.study.neutrals import NeutralNet
from rigline.study.study import Study

_FLOATING_BOATS = ("intl-boat", "uk-inland-boat")
_MONITORS = ("insulation", "earth fault", "ground fault")


def is_exempt(study: Study, net: NeutralNet) -> bool:
    """Floating by design, or one double-insulated appliance, or outlets on the inverter's own case."""
    components = study.system.components
    source = components[net.sources[0]]
    loads = [c for id in net.loads if isinstance(c := components[id], Load)]
    alone = len(loads) == 1 and loads[0].count == 1
    if isinstance(source, Inverter) and (source.internal_receptacles or (alone and loads[0].class_ii)):
        return True
    if study.system.head.ac_grounding == "floating":
        return _two_pole(study, net) and (alone or _is_monitored(study))
    no_shore = not any(isinstance(c, ShoreInlet) for c in components.values())
    floats = study.system.profile_name in _FLOATING_BOATS and (no_shore or isinstance(source, Transformer))
    return floats and _two_pole(study, net)


def _two_pole(study: Study, net: NeutralNet) -> bool:
    devices = [c for id in net.devices if isinstance(c := study.system.components[id], Overcurrent)]
    return all((device.poles or 1) >= 2 for device in devices)


def _is_monitored(study: Study) -> bool:
    sensors = [c for c in study.system.components.values() if isinstance(c, Sensor)]
    return any(word in (sensor.type or "").replace("-", " ") for sensor in sensors for word in _MONITORS)
