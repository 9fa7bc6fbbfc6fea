"""What is read at pins, wires and sentences: elements, thermistors, speed wheels, buses."""

from leadsman.compute.sensors import bus as bus
from leadsman.compute.sensors import element as element
from leadsman.compute.sensors import paddle as paddle
from leadsman.compute.sensors import pins as pins
from leadsman.compute.sensors import sentence_formulas as sentence_formulas
from leadsman.compute.sensors import thermistor as thermistor
