"""Torque records: the work on a joint, what was required of it, whether a record can be believed."""
