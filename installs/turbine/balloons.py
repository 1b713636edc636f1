"""Numbers of the schedule of inputs, as they stand on the drawing; bolts of one flange share theirs."""

BALLOONS = {
    "model": 1,
    "serial": 1,
    "hub_ft": 2,
    "yaw_bolts": 3,
    "yaw_bolt_size": 3,
    "yaw_bolt_grade": 3,
    "yaw_torque_ft_lb": 3,
    "brake_method": 4,
    "lock_method": 5,
}
