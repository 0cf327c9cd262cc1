package food

// poly is a + bT + cT² with T in °C.
type poly struct{ a, b, c float64 }

func (p poly) at(celsius float64) float64 { return p.a + celsius*(p.b+celsius*p.c) }

// rise is the integral of p from 0 °C to celsius.
func (p poly) rise(celsius float64) float64 {
	return celsius * (p.a + celsius*(p.b/2+celsius*p.c/3))
}

// part is a constituent of food with its four polynomials.
type part struct {
	conductivity poly // W/m/K
	density      poly // kg/m³
	heat         poly // kJ/kg/K
	diffusivity  poly // m²/s
}

// The constituents after Choi and Okos (1986), in Le Maguer and Jelen (eds),
// Food Engineering and Process Applications, vol. 1, 93-101, valid from -40 to
// 150 °C. The coefficients were read in two reproductions of their table.
//
// Two of them differ between copies:
//
//   - b of the conductivity of fat is printed as -2.7604e-4, -2.7604e-3 and
//     +2.7604e-3. Density, heat capacity and diffusivity of the same table give
//     0.1776 W/m/K at 20 °C; the first gives 0.1751, the others are a quarter
//     and more away. The first is taken.
//   - a of the heat capacity of water is printed as 4.1762 and as 4.1289. Water
//     has 4.18 kJ/kg/K between 20 and 60 °C, so the first is taken; the other
//     lowers the heat capacity of a food by about 1 %.
var (
	water = part{
		conductivity: poly{5.7109e-1, 1.7625e-3, -6.7036e-6},
		density:      poly{9.9718e2, 3.1439e-3, -3.7574e-3},
		heat:         poly{4.1762, -9.0864e-5, 5.4731e-6},
		diffusivity:  poly{1.3168e-7, 6.2477e-10, -2.4022e-12},
	}
	protein = part{
		conductivity: poly{1.7881e-1, 1.1958e-3, -2.7178e-6},
		density:      poly{1.3299e3, -5.1840e-1, 0},
		heat:         poly{2.0082, 1.2089e-3, -1.3129e-6},
		diffusivity:  poly{6.8714e-8, 4.7578e-10, -1.4646e-12},
	}
	fat = part{
		conductivity: poly{1.8071e-1, -2.7604e-4, -1.7749e-7},
		density:      poly{9.2559e2, -4.1757e-1, 0},
		heat:         poly{1.9842, 1.4733e-3, -4.8008e-6},
		diffusivity:  poly{9.8777e-8, -1.2569e-10, -3.8286e-14},
	}
	carbohydrate = part{
		conductivity: poly{2.0141e-1, 1.3874e-3, -4.3312e-6},
		density:      poly{1.5991e3, -3.1046e-1, 0},
		heat:         poly{1.5488, 1.9625e-3, -5.9399e-6},
		diffusivity:  poly{8.0842e-8, 5.3052e-10, -2.3218e-12},
	}
	fibre = part{
		conductivity: poly{1.8331e-1, 1.2497e-3, -3.1683e-6},
		density:      poly{1.3115e3, -3.6589e-1, 0},
		heat:         poly{1.8459, 1.8306e-3, -4.6509e-6},
		diffusivity:  poly{7.3976e-8, 5.1902e-10, -2.2202e-12},
	}
	ash = part{
		conductivity: poly{3.2962e-1, 1.4011e-3, -2.9069e-6},
		density:      poly{2.4238e3, -2.8063e-1, 0},
		heat:         poly{1.0926, 1.8896e-3, -3.6817e-6},
		diffusivity:  poly{1.2461e-7, 3.7321e-10, -1.2244e-12},
	}
	ice = part{
		conductivity: poly{2.2196, -6.2489e-3, 1.0154e-4},
		density:      poly{9.1689e2, -1.3071e-1, 0},
		heat:         poly{2.0623, 6.0769e-3, 0},
		diffusivity:  poly{1.1756e-6, -6.0833e-9, 9.5037e-11},
	}
)

// coldWater is the heat capacity of liquid water below 0 °C, kJ/kg/K, which has
// a polynomial of its own (-40 to 0 °C).
var coldWater = poly{4.0817, -5.3062e-3, 9.9516e-4}

// waterHeat is the heat capacity of liquid water, kJ/kg/K.
func waterHeat(celsius float64) float64 {
	if celsius < 0 {
		return coldWater.at(celsius)
	}
	return water.heat.at(celsius)
}

// waterRise is the integral of waterHeat from 0 °C, kJ/kg.
func waterRise(celsius float64) float64 {
	if celsius < 0 {
		return coldWater.rise(celsius)
	}
	return water.heat.rise(celsius)
}

// Temperatures within which the polynomials hold, °C.
const (
	Coldest = -40.0
	Hottest = 150.0
)
