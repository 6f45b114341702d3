"""Portuguese, of Europe and of Brazil."""

CONCEPTS = """
number: número, num, nº, n, nro
code: código, cod, identificação código
tag: tag, identificação, posição, item, local de instalação, etiqueta, tag motor, tag equipamento
motor: motor, motores
equipment: equipamento, máquina, consumidor, aparelho
asset: ativo, nº ativo, patrimônio, nº patrimônio, património, código do equipamento, nº equipamento, número do equipamento, n equipamento, inventário, código sap, cód equipamento, imobilizado, activo, n património
starter: arrancador, chave de partida, partida, chave
drive: inversor, conversor, variador, inversor de frequência
description: descrição, serviço, designação, denominação, função, nome, desc
driven: máquina acionada, equipamento acionado, carga, acionada, accionada
area: área, setor, sector, local, prédio, edifício, zona, unidade, localização, departamento, seção fábrica
bus: ccm, quadro, painel, barramento, alimentado por, alimentação, qgbt, alimentado de, alimentador, quadro eléctrico
cubicle: gaveta, cubículo, compartimento, coluna, módulo
power: potência, pot, kw, cv, hp
current: corrente, amperes, intensidade, amperagem, i
voltage: tensão, voltagem, volts, u
speed: rotação, velocidade, rpm, rot
frequency: frequência, freq
poles: polos, pólos, nº polos, nº de polos, número de polos, n polos
phases: fases, nº fases, n fases
rated: nominal, nom, placa, de placa, nominais, estipulada, estipulado
fullload: plena carga, a plena carga
lockedrotor: partida corrente, rotor bloqueado, arranque
noload: em vazio, vazio
ratio: relação
torque: conjugado, binário, torque
efficiency: rendimento, rend, eficiência
powerfactor: fator de potência, factor de potência, cos phi, cosphi, fp, cos
servicefactor: fator de serviço, fs, factor de serviço
insulation: isolamento, isolação
class: classe
rise: elevação de temperatura
enclosure: grau de proteção, ip, grau de protecção, proteção ip
frame: carcaça, tamanho, carcaca
serial: nº de série, número de série, n série, nº série, série, n de série
maker: fabricante, marca, fornecedor
catalogue: referência, ref, código do fabricante, modelo
type: tipo
method: tipo de partida, método de partida, partida, tipo de arranque, modo de partida, arranque
overload: relé térmico, térmico, proteção térmica, disjuntor-motor, sobrecarga, relé de sobrecarga, relé, rele termico
setting: ajuste, regulagem, regulação, ajustado, ajustado em, calibração
tripclass: classe de disparo, classe disparo
breaker: disjuntor, disj
fuse: fusível, fusíveis, fus
protection: proteção, protecção, prot
instantaneous: magnético, instantâneo
interrupting: capacidade de interrupção, poder de corte
size: calibre, tamanho
minimum: mín, mínimo
maximum: máx, máximo
cable: cabo, cabos, condutor
length: comprimento, compr, distância
section: seção, secção, bitola
fault: curto-circuito, icc, curto circuito, curto
available: disponível, presumida
transformer: transformador, trafo
system: rede, sistema
criticality: criticidade, prioridade, importância
starts: partidas, arranques, nº partidas, número de partidas, manobras
perhour: por hora, / h, hora, h, / hora
ramp: rampa, rampa de aceleração, tempo de rampa, aceleração, tempo de aceleração
time: tempo, duração
limit: limite, limitação
initial: inicial
stop: parada, paragem, desaceleração
ambient: ambiente
temperature: temperatura, temp
altitude: altitude
inertia: inércia
duty: regime, regime de serviço
hazard: atex, classificada, área classificada
control: comando
notes: observações, observação, notas, nota, comentários, obs
date: data, dia
installed: instalação, instalado, entrada em serviço, montagem, comissionamento, data instalação
status: estado, situação, condição
failure: falha, avaria, quebra
happened: data da falha, data falha, data os, data avaria, data da avaria, data da os, data ocorrência, data nota
reason: causa, motivo, sintoma, descrição da falha, descrição avaria, texto, defeito, descrição da os, problema, descrição do serviço, texto breve, ocorrência
downtime: tempo parado, horas paradas, tempo de parada, tempo de paragem, horas de parada, indisponibilidade, parada h
order: os, ordem, ordem de serviço, ordem de trabalho, nº os, n os, ot, nº ordem
measured: medida, medido, medição
bypass: bypass, by-pass
ct: tc, transformador de corrente, relação tc
coupling: acoplamento, transmissão
run: horas de operação, horas de funcionamento, horas de marcha
year: ano, / ano, anual
capacitor: capacitor, condensador
mode: modo de falha
stock: estoque, stock, quantidade, qtd, qtde, almoxarifado, armazém, prateleira
bearing: rolamento, rolamentos, rolamento dianteiro, rolamento traseiro, rolamento la, rolamento loa, mancal
weight: peso
mounting: forma construtiva, fixação
built: ano de fabricação, ano fabricação, ano fabrico, ano de fabrico
drawing: desenho, esquema, diagrama, nº desenho, unifilar, folha
revision: revisão, levantado por, atualizado, verificado, data levantamento
purchase: pedido, centro de custo, garantia
colour: cor, pintura
lubrication: graxa, lubrificação, massa
space: resistência de aquecimento
vibration: vibração, ruído
rotation: sentido de rotação, sentido de giro
io: clp, endereço clp, plc
responsible: responsável, técnico, equipe, solicitante, executante
gear: redutor, relação de redução, polia
flow: vazão, caudal, altura manométrica, pressão, potência absorvida
efficiencyclass: classe de rendimento, classe ie, ir3, ie
"""
HEADINGS = """
fla_a: In, In (A), I nominal, Corrente nominal, Corrente de placa, Corrente, I nom
power_kw: P (kW), Pn, Potência, Potência nominal, Pot., P (cv)
motor_voltage_v: U (V), Un, Tensão, Vn, Tensão nominal, Tensão de serviço
speed_rpm: Rotação, RPM, n (rpm), Rotação nominal, Velocidade
power_factor: cos φ, cosφ, FP
efficiency_pct: η, Rendimento
device_kind: Partida, Tipo de partida, Tipo partida, Arranque, Tipo de arranque, Chave de partida, Acionamento, Método de partida
relay_set_a: Ajuste relé térmico, Ajuste do relé, Relé térmico, Ajuste relé, Regulação térmica, Ajuste térmico, Ir, Regulagem relé, Térmico
protection_rating_a: Disjuntor, Fusível, Fusíveis, Calibre disjuntor, Calibre, Calibre fusível, Proteção (A)
cable_size: Cabo, Seção, Secção, Bitola, Seção do cabo, Secção do cabo, Bitola do cabo
cable_length_m: Comprimento do cabo, Comprimento, Comprimento cabo, Compr. cabo
fault_current_ka: Icc, Icc (kA), Corrente de curto-circuito
bus: CCM, Quadro, Painel, Alimentado por
locked_rotor_ratio: Ip/In, Ia/In, Ip / In
locked_rotor_torque_pct: Cp/Cn, Conjugado de partida
breakdown_torque_pct: Cmáx/Cn
starts_per_hour: Partidas/h, Partidas/hora, Arranques/h, Partidas por hora
current_limit_xfla: Limite de corrente, Limitação de corrente
initial_voltage_pct: Tensão inicial
setting_recorded_on: Ajustes lidos em, Data dos ajustes
load_kind: Máquina acionada, Tipo de carga, Tipo de máquina
description: Equipamento, Serviço, Equipamento acionado
motor: Nº de série, Nº série motor
model: Modelo chave, Modelo inversor, Modelo soft-starter
cause: Falha, Descrição da falha, Avaria
happened_on: Data da falha, Data OS, Data avaria
"""
WORDS = """
device_kind / across-the-line: direta, partida direta, PD, arranque direto, directa, direto, contator, directo, partida direta reversora, reversora, arranque directo
device_kind / star-delta: estrela-triângulo, estrela/triângulo, Y/D, Y/Δ, estrela triângulo, ET, E/T, PET, Y-D, estrela-tri
device_kind / autotransformer: compensadora, autotransformador, chave compensadora, autotrafo
device_kind / soft starter: soft-starter, softstarter, chave suave, partida suave, arrancador suave, SS, arranque suave, soft starter
device_kind / drive: inversor, inversor de frequência, variador, conversor de frequência, VF, variador de velocidade, conversor, inversor freq.
power_path / internal bypass: bypass interno, com bypass, bypass integrado, bypass incorporado
power_path / solid state: sem bypass, tiristores
protection_kind / inverse-time breaker: disjuntor, disjuntor termomagnético, termomagnético, disjuntor-motor, disjuntor motor, disj., disjuntor magnetotérmico, DJ
protection_kind / instantaneous breaker: disjuntor magnético, só magnético, magnético, disjuntor motor magnético
protection_kind / fuse: fusível, fusíveis, fusível NH, NH, fusíveis gG, fusível diazed, fusível gG, fusíveis aM
protection_kind / semiconductor fuse: fusível ultrarrápido, ultrarrápido, ultra-rápido
protection_kind / none: nenhuma, sem
overload_place / device: no inversor, interno, integrado, inversor, na soft-starter, incorporado, no variador, interna
overload_place / relay: relé, relé térmico, térmico, bimetálico, disjuntor-motor
overload_place / thermistor: PTC, termistor, sonda PTC, sondas PTC
overload_place / none: nenhum, sem, nenhuma
thermal_device / PTC thermistor: PTC, termistores, sonda PTC, 3 PTC
thermal_device / thermostat: termostato, klixon
thermal_device / RTD: PT100
thermal_device / none: nenhum, não, sem
motor_status / in service: em serviço, em operação, operando, ativo, em funcionamento, em marcha
motor_status / in store: em estoque, almoxarifado, reserva, estoque, em armazém, sobressalente
motor_status / failed: avariado, queimado, em manutenção, fora de serviço, em reparo, em reparação
motor_status / scrapped: sucateado, sucata, abatido, baixado
criticality / critical: crítico, crítica
criticality / essential: essencial, importante
criticality / ordinary: normal, ordinário, não crítico
standby / none: nenhum, não
standby / installed: reserva instalada, sim
load_kind / centrifugal pump: bomba, bomba centrífuga
load_kind / positive-displacement pump: bomba de deslocamento positivo, bomba helicoidal, bomba dosadora, bomba de engrenagens
load_kind / vacuum pump: bomba de vácuo
load_kind / slurry pump: bomba de polpa, bomba de lodo, bomba de lamas
load_kind / deep-well pump: bomba de poço, bomba submersa
load_kind / centrifugal fan: ventilador, ventilador centrífugo, exaustor
load_kind / axial fan: ventilador axial
load_kind / blower: soprador
load_kind / conveyor: correia, correia transportadora, transportador, esteira, tapete, elevador de canecas, transportador de correia
load_kind / screw conveyor: rosca, rosca transportadora, sem-fim, rosca sem-fim
load_kind / crusher: britador, triturador
load_kind / mill: moinho, moenda
load_kind / mixer: misturador
load_kind / agitator: agitador
load_kind / screw compressor: compressor de parafuso, compressor parafuso
load_kind / reciprocating compressor: compressor alternativo, compressor de pistão
load_kind / centrifugal compressor: compressor centrífugo
load_kind / centrifuge: centrífuga
load_kind / hoist: ponte rolante, talha, guincho
load_kind / saw: serra
load_kind / other: outro, outra
coupling / direct: direto, acoplamento elástico, direta
coupling / belt: correias, polia, polias, correia V
coupling / gear: redutor, motorredutor
coupling / chain: corrente
coupling / fluid: acoplamento hidráulico
result / passed: bom, conforme, aprovado
result / failed: não conforme, reprovado, ruim
speed_need / fixed: fixa, constante
speed_need / variable: variável
speed_need / two-speed: duas velocidades
motor_type / cage: gaiola, assíncrono, gaiola de esquilo, indução
motor_type / wound rotor: rotor bobinado, anéis
motor_type / synchronous: síncrono
motor_type / permanent magnet: ímãs permanentes
motor_type / direct current: corrente contínua
relay_reset / manual: manual
relay_reset / automatic: automático
control_scheme / hardwired: cabeado, fio a fio
control_scheme / network: rede
device_place / indoor: interno, abrigado
device_place / outdoor: externo, ao tempo
device_place / indoor dusty: empoeirado
device_place / indoor wet: úmido
motor_place / indoor: interno, abrigado
motor_place / outdoor: externo, ao tempo
motor_place / indoor dusty: empoeirado
motor_place / indoor wet: úmido
flag / yes: sim, s
flag / no: não, nao
"""
BLANKS = """
not surveyed: desconhecido, desconhecida, sem dados, a confirmar, não levantado, n/d, nd, falta, a verificar, não disponível, s/d, a definir
illegible: ilegível, placa ilegível, sem placa, não legível
not published: não informado
not applicable: não aplicável, não se aplica, n/a
"""
PASSED = """
words: de, do, da, dos, das, o, a, os, as, e, em, no, na, por, para, com, ao, um, uma, valor, dados, unidade
"""
MONTHS = """
months: jan, fev, mar, abr, mai, jun, jul, ago, set, out, nov, dez
"""
LINES = """
total: total, soma, subtotal, total geral, potência total, potência instalada
group: entrada, disjuntor geral, ccm, quadro, painel, setor, área, prédio, linha, unidade, zona, edifício, sala
ditto: idem, igual, o mesmo, id, ver acima
empty: reserva, livre, vago, disponível
stores: reserva, sobressalente, sobressalentes, estoque, almoxarifado, motores reserva, armazém
attribute: característica, atributo, propriedade, parâmetro, campo, dado
value: valor
unit: unidade, un
"""
