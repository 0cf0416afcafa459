"""Makers' names of signals in our few kinds."""

from __future__ import annotations

import pytest

from cfgaudit.machine.chips.signals import Raw, kinds_of


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (("adc", "1", "in12", ""), ["analog ADC1 IN12"]),
        (("adc", "3", "inp4", ""), ["analog ADC3 IN4"]),
        (("adc", "3", "inn4", ""), []),  # only the negative side of a difference
        (("adc", "", "7", ""), ["analog ADC IN7"]),
        (("afec", "1", "ad", "10"), ["analog ADC1 IN10"]),
        (("adc", "0", "x", "5"), []),  # touch
        (("adc", "", "aref", ""), []),
        (("adc", "", "vrefp", ""), []),
        (("tim", "8", "ch2n", ""), ["pwm TIM8 CH2N"]),
        (("tim", "1", "etr", ""), []),
        (("tim", "1", "bkin", ""), []),
        (("tc", "2", "oca", ""), ["pwm TC2 OCA"]),
        (("tc", "", "oc1b", ""), ["pwm TC1 OCB"]),
        (("tc", "0", "t", ""), []),
        (("tc", "2", "tioa", "6"), ["pwm TC2.6 TIOA"]),
        (("tcc", "0", "wo", "4"), ["pwm TCC0 WO4"]),
        (("pwm", "1", "pwml", "3"), ["pwm PWM1.3 L"]),
        (("hrtim", "1", "chb2", ""), ["pwm HRTIM1.B CH2"]),
        (("spi", "2", "miso", ""), ["spi SPI2 MISO"]),
        (("twi", "0", "scl0", ""), ["i2c TWI0 SCL"]),
        (("twihs", "1", "twd", ""), ["i2c TWIHS1 SDA"]),
        (("usart", "3", "tx", ""), ["uart USART3 TX"]),
        (("usart", "3", "ck", ""), []),
        (
            ("sercom", "2", "pad", "1"),
            ["spi SERCOM2 MISO", "spi SERCOM2 SCK", "i2c SERCOM2 SCL", "uart SERCOM2 RX"],
        ),
        (("sys", "", "swclk", ""), ["debug SWD SWCLK"]),
        (("jtag", "", "tdi", ""), ["debug JTAG TDI"]),
        (("usb_otg_fs", "", "dp", ""), ["usb USB DP"]),
        (("usb_otg_hs", "", "dm", ""), ["usb USB_HS DM"]),
        (("usb_otg_fs", "", "vbus", ""), []),
        (("rcc", "", "osc32_in", ""), ["crystal OSC32 IN"]),
        (("pmc", "", "xout", ""), ["crystal OSC OUT"]),
        (("dcmi", "", "d3", ""), []),
    ],
)
def test_signals(raw: tuple[str, str, str, str], told: list[str]) -> None:
    assert [" ".join(signal) for signal in kinds_of(Raw(*raw))] == told
