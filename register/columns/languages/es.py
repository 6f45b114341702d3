"""Spanish."""

CONCEPTS = """
number: número, num, nro, n, no
code: código, cod, identificador
tag: tag, etiqueta, posición, ítem, item, ubicación técnica, tag equipo, tag motor, identificación, ubic técnica
motor: motor, motores
equipment: equipo, máquina, maquina, consumidor, aparato
asset: activo, no activo, número de activo, no equipo, número de equipo, nro de equipo, código de equipo, cód equipo, código activo, no inventario, inventario, código sap, cod equipo, n equipo
starter: arrancador, arranque equipo
drive: variador, convertidor, variador de frecuencia, variador de velocidad
description: descripción, servicio, denominación, nombre, función, designación, desc
driven: máquina accionada, equipo accionado, accionada, carga, accionado, equipo impulsado
area: área, zona, edificio, planta, sector, ubicación, departamento, sección planta, lugar, nave, localización, sala
bus: ccm, tablero, cuadro, barra, alimentado desde, alimentación, cgbt, alimentado por, tablero alimentador, cuadro eléctrico, fuente, celda
cubicle: cubículo, cajón, gaveta, compartimiento, compartimento, columna, cubeta, módulo
power: potencia, pot, kw, cv, hp, caballos
current: corriente, intensidad, amperios, amperaje, amp, i
voltage: tensión, voltaje, voltios, u
speed: velocidad, rpm, vel, r / min, revoluciones
frequency: frecuencia, frec
poles: polos, no de polos, número de polos, nº polos, n polos
phases: fases, nº fases, n fases
rated: nominal, nom, asignada, asignado, placa, de placa, nominales, placa de características
fullload: plena carga, a plena carga
lockedrotor: arranque, rotor bloqueado
noload: en vacío, vacío
ratio: relación
torque: par, torque
breakdown: máximo par
efficiency: rendimiento, eficiencia, rend, efic
powerfactor: factor de potencia, cos phi, cosphi, fp, f p, cos
servicefactor: factor de servicio, fs
insulation: aislamiento, aislación
class: clase
rise: elevación de temperatura, sobretemperatura, calentamiento
enclosure: grado de protección, ip, protección ip, envolvente, grado ip, encerramiento
frame: carcasa, tamaño, bastidor, armazón, frame, tamaño carcasa, tamaño constructivo
serial: no de serie, número de serie, n serie, serie, nro serie, n de serie, núm serie
maker: fabricante, marca, constructor, proveedor
catalogue: referencia, ref, catálogo, modelo
type: tipo
method: tipo de arranque, método de arranque, arranque, forma de arranque, modo de arranque, sistema de arranque
overload: relé térmico, térmico, protección térmica, guardamotor, sobrecarga, rele térmico, relé, bimetálico, relé de sobrecarga, relevador térmico, relevador, relevador de sobrecarga
setting: ajuste, regulación, ajustado, reglaje, ajustado a, valor ajuste, regulado, calibración
tripclass: clase de disparo, clase disparo
breaker: interruptor, automático, magnetotérmico, disyuntor, int automático, interruptor automático, termomagnético, int
fuse: fusible, fusibles, fus
protection: protección, aparato de protección, prot
instantaneous: magnético, instantáneo
interrupting: poder de corte, capacidad interruptiva, capacidad de corte
size: calibre, tamaño
minimum: mín, mínimo
maximum: máx, máximo
cable: cable, conductor, conductores, cableado
length: longitud, long, largo, distancia
section: sección, secc, calibre cable
fault: cortocircuito, icc, corto circuito, cc
available: disponible, en barras
transformer: transformador, trafo
system: red, sistema, barra
criticality: criticidad, prioridad, importancia
starts: arranques, n arranques, número de arranques, maniobras
perhour: por hora, / h, hora, h, / hora
ramp: rampa, rampa de arranque, tiempo de rampa, aceleración, tiempo de aceleración, tiempo rampa
time: tiempo, duración
limit: límite, limitación
initial: inicial
stop: parada, paro, deceleración
ambient: ambiente, t ambiente
temperature: temperatura, temp
altitude: altitud, altura
inertia: inercia
duty: régimen, servicio tipo, tipo de servicio
hazard: atex, clasificada, área clasificada
control: mando, control
notes: observaciones, observación, notas, nota, comentarios, comentario, obs
date: fecha, día
installed: instalación, instalado, puesta en marcha, puesta en servicio, montaje, fecha instalación
status: estado, situación, condición
failure: falla, fallo, avería, averia
happened: fecha falla, fecha avería, fecha de avería, fecha ot, fecha orden, fecha de falla, fecha aviso, ocurrido el, fecha incidencia
reason: causa, motivo, síntoma, descripción falla, descripción avería, texto, hallazgo, descripción de la falla, descripción del trabajo, trabajo, texto breve, detalle, texto aviso, problema, descripción ot
downtime: tiempo de parada, horas de parada, paro, horas paro, tiempo parada, tiempo fuera de servicio, indisponibilidad, horas perdidas, hrs parada
order: ot, orden, orden de trabajo, n ot, aviso, nº ot, n orden
measured: medida, medido, medición, consumo
bypass: bypass, by-pass
ct: tc, transformador de corriente, relación tc, trafo de intensidad, ti
coupling: acoplamiento, transmisión, acople
run: horas de marcha, horas de funcionamiento, horas operación
year: año, / año, anual
capacitor: condensador, capacitor, condensadores
mode: modo de fallo, modo de falla
stock: stock, existencia, existencias, cantidad, cant, almacén, bodega, estante
bearing: rodamiento, rodamientos, cojinete, rodamiento la, rodamiento loa, rod, rodamiento dc, lado acople, lado libre
weight: peso
mounting: montaje im, forma constructiva, sujeción
built: año fabricación, año de fabricación, año fab
drawing: plano, esquema, diagrama, nº plano, n plano, unifilar
revision: revisión, revisado, levantado por, actualizado, fecha revisión, relevado
purchase: pedido, centro de coste, centro de costo, garantía, orden de compra
colour: color, pintura
lubrication: grasa, lubricación, engrase
space: resistencia de caldeo, calefacción
vibration: vibración, ruido, vibraciones
rotation: sentido de giro, giro
io: plc, dirección plc, señal
responsible: responsable, técnico, cuadrilla, turno, solicitante, operario, especialidad
gear: reductor, relación de reducción, polea
flow: caudal, altura manométrica, presión, potencia absorbida
efficiencyclass: clase de eficiencia, clase ie, clase de rendimiento, ie
"""
HEADINGS = """
fla_a: In, In (A), I nominal, Intensidad nominal, Corriente nominal, I nom, Corriente de placa, Intensidad, Corriente
power_kw: P (kW), Pn, Potencia, Potencia nominal, Pot., Pot. nominal, P nom
motor_voltage_v: U (V), Un, Tensión, Voltaje, Vn, Tensión nominal, Tensión de servicio
speed_rpm: Velocidad, RPM, n (rpm), Velocidad nominal
power_factor: cos φ, cosφ, FP, fp
efficiency_pct: η, Rendimiento, Eficiencia
device_kind: Arranque, Arrancador, Tipo de arranque, Tipo arrancador, Tipo arranque, Accionamiento
relay_set_a: Ajuste térmico, Regulación térmica, Relé térmico, Térmico, Ajuste relé, Ir, Ajuste térmico (A), Guardamotor, Ajuste guardamotor, Regulación térmico, Protección térmica
protection_rating_a: Interruptor, Fusible, Fusibles, Calibre interruptor, Calibre, Calibre fusible, Protección (A), Magnetotérmico, Calibre protección, Disyuntor
cable_size: Sección, Cable, Sección cable, Calibre cable, Conductor
cable_length_m: Longitud cable, Longitud, Long. cable, Longitud de cable
fault_current_ka: Icc, Icc (kA), Corriente de cortocircuito
bus: CCM, Tablero, Cuadro, Alimentado desde
locked_rotor_ratio: Ia/In, Iarr/In, Ip/In, Is/In
locked_rotor_torque_pct: Ma/Mn, Cp/Cn
starts_per_hour: Arranques/h, Arranques/hora, Arranques por hora, Nº arranques/h
current_limit_xfla: Límite de corriente, Limitación de corriente
initial_voltage_pct: Tensión inicial
setting_recorded_on: Ajustes leídos el, Fecha de ajustes
load_kind: Máquina accionada, Tipo de máquina, Tipo de carga
description: Equipo, Equipo accionado, Servicio
motor: Nº de serie, Nº serie motor, Serie motor
model: Modelo arrancador, Referencia arrancador, Modelo variador
cause: Falla, Avería, Descripción avería
happened_on: Fecha avería, Fecha falla, Fecha OT
"""
WORDS = """
device_kind / across-the-line: directo, arranque directo, AD, a plena tensión, plena tensión, contactor, directo a línea, directo con inversión, dir
device_kind / star-delta: estrella-triángulo, estrella/triángulo, estrella triángulo, Y/D, Y/Δ, E-T, E/T, Y-D, estrella-delta, estrella delta, ET
device_kind / autotransformer: autotransformador, autotrafo
device_kind / soft starter: arrancador suave, suave, arranque suave, arrancador estático, estático, arrancador electrónico, arrancador progresivo, partidor suave
device_kind / drive: variador, variador de frecuencia, variador de velocidad, VDF, VF, convertidor, convertidor de frecuencia, inversor de frecuencia, variador velocidad
power_path / internal bypass: bypass interno, con bypass, bypass integrado, bypass incorporado
power_path / solid state: sin bypass, tiristores
protection_kind / inverse-time breaker: interruptor, interruptor automático, magnetotérmico, termomagnético, disyuntor, guardamotor, automático, interruptor termomagnético, int. termomagnético, int. automático
protection_kind / instantaneous breaker: interruptor magnético, magnético, solo magnético, guardamotor magnético
protection_kind / fuse: fusible, fusibles, fusible gG, fusibles gG, fusible aM, fusibles aM, seccionador fusible
protection_kind / none: ninguna, ninguno, sin protección
overload_place / device: en variador, interno, integrado, en arrancador, variador, incorporado, en el variador, interna, en el arrancador
overload_place / relay: relé, relé térmico, térmico, guardamotor, bimetálico, relevador
overload_place / thermistor: PTC, termistor, sondas PTC, sonda PTC
overload_place / none: ninguno, ninguna, sin
thermal_device / PTC thermistor: PTC, sondas PTC, termistores, sonda PTC, 3 PTC
thermal_device / thermostat: termostato, klixon
thermal_device / RTD: PT100
thermal_device / none: ninguna, no, sin, ninguno
motor_status / in service: en servicio, en marcha, operativo, operando, activo, en operación, bueno
motor_status / in store: en almacén, almacén, en stock, en bodega, repuesto, reserva
motor_status / failed: averiado, fuera de servicio, en reparación, quemado, fallado, F/S
motor_status / scrapped: desguazado, chatarra, dado de baja, baja, retirado
criticality / critical: crítico, crítica, vital
criticality / essential: esencial, importante
criticality / ordinary: ordinario, normal, no crítico, ordinaria
standby / none: ninguno, no, sin
standby / installed: reserva instalada, sí, instalado
load_kind / centrifugal pump: bomba, bomba centrífuga, bombas
load_kind / positive-displacement pump: bomba de desplazamiento positivo, bomba de tornillo, bomba dosificadora, bomba de engranajes
load_kind / vacuum pump: bomba de vacío
load_kind / slurry pump: bomba de lodos, bomba de pulpa
load_kind / deep-well pump: bomba de pozo, bomba sumergible, pozo
load_kind / centrifugal fan: ventilador, ventilador centrífugo, extractor
load_kind / axial fan: ventilador axial
load_kind / blower: soplante, soplador
load_kind / conveyor: cinta, cinta transportadora, transportador, banda, banda transportadora, correa transportadora, elevador de cangilones
load_kind / screw conveyor: sinfín, tornillo, tornillo sinfín, transportador de tornillo
load_kind / crusher: trituradora, machacadora, chancadora
load_kind / mill: molino, molino de bolas
load_kind / mixer: mezclador, mezcladora
load_kind / agitator: agitador
load_kind / screw compressor: compresor de tornillo
load_kind / reciprocating compressor: compresor de pistones, compresor alternativo, compresor reciprocante
load_kind / centrifugal compressor: compresor centrífugo
load_kind / centrifuge: centrífuga
load_kind / hoist: grúa, polipasto, puente grúa
load_kind / saw: sierra
load_kind / other: otro, otra
coupling / direct: directo, acoplamiento elástico, directa, acople directo, acople elástico
coupling / belt: correa, correas, bandas, poleas
coupling / gear: reductor, motorreductor
coupling / chain: cadena
coupling / fluid: acoplamiento hidráulico
result / passed: bien, correcto, conforme, aprobado
result / failed: mal, incorrecto, no conforme, rechazado
speed_need / fixed: fija, constante
speed_need / variable: variable
speed_need / two-speed: dos velocidades, 2 velocidades
motor_type / cage: jaula de ardilla, jaula, asíncrono, inducción
motor_type / wound rotor: rotor bobinado, anillos rozantes, anillos
motor_type / synchronous: síncrono
motor_type / permanent magnet: imanes permanentes
motor_type / direct current: corriente continua, CC
relay_reset / manual: manual
relay_reset / automatic: automático, auto
control_scheme / hardwired: cableado
control_scheme / network: red, bus de campo
device_place / indoor: interior
device_place / outdoor: exterior, intemperie
device_place / indoor dusty: polvoriento
device_place / indoor wet: húmedo
motor_place / indoor: interior
motor_place / outdoor: exterior, intemperie
motor_place / indoor dusty: polvoriento
motor_place / indoor wet: húmedo
flag / yes: sí, si, s
flag / no: no
"""
BLANKS = """
not surveyed: desconocido, desconocida, sin dato, sin datos, s/d, sd, por confirmar, por verificar, no consta, pendiente, falta, s.d., por definir, no disponible, n/d, nd
illegible: ilegible, placa ilegible, sin placa, no legible, borrado, borrosa, pintada
not published: no indicado, no publicado
not applicable: no aplica, no procede, sin objeto, n.a, n.p.
"""
PASSED = """
words: de, del, la, el, los, las, y, e, en, a, al, por, para, con, un, una, valor, valores, datos, unidad, según, sobre
"""
MONTHS = """
months: ene, feb, mar, abr, may, jun, jul, ago, sep, oct, nov, dic
months: enero, feb, marzo, abril, mayo, junio, julio, ago, set, oct, nov, dic
"""
LINES = """
total: total, suma, subtotal, total general, número de, potencia total, potencia instalada
group: acometida, interruptor general, ccm, tablero, cuadro, planta, área, zona, sector, edificio, nave, línea, estación, sección, celda, sala
ditto: ídem, igual, igual que arriba, id, ver arriba
empty: reserva, libre, vacío, disponible
stores: repuesto, repuestos, almacén, stock, bodega, motores de repuesto, existencias, recambios
attribute: característica, atributo, propiedad, parámetro, campo, dato
value: valor
unit: unidad, ud, uds
"""
