"""The transducer: its beam, its ring, what it resolves, and the hull that it sounds through."""

from leadsman.compute.transducer import range_and_time as range_and_time
